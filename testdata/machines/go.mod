module fitchet.example/testdata/machines

go 1.26
