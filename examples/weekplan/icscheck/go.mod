module fitchet.example/examples/weekplan/icscheck

go 1.26

require (
	github.com/emersion/go-ical v0.0.0-20250329121855-f41e73efc392
	github.com/santhosh-tekuri/jsonschema/v6 v6.0.3
	github.com/yuin/goldmark v1.8.7
)

require (
	github.com/teambition/rrule-go v1.8.2 // indirect
	golang.org/x/text v0.14.0 // indirect
)
