package corpus_test

import (
	"sync"
	"testing"

	"fitchet.example/balance/corpus"
	"fitchet.example/testdata"
)

var shipped = sync.OnceValues(corpus.Shipped)

func load(t testing.TB) *corpus.Corpus {
	t.Helper()
	c, err := shipped()
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Every case of the corpus, by its id: go test -run TestCases/<id>.
func TestCases(t *testing.T) {
	t.Parallel()
	c := load(t)
	for _, cs := range c.Cases {
		t.Run(cs.ID, func(t *testing.T) {
			wrong, err := c.Judge(cs, nil)
			if err != nil {
				t.Fatal(err)
			}
			for _, w := range wrong {
				t.Errorf("%s: %s\n\t%s\n\t%s", cs.At, cs.Title, w, cs.Why)
			}
		})
	}
}

// The corpus itself is in order.
func TestLint(t *testing.T) {
	t.Parallel()
	if err := corpus.Lint(testdata.Corpus()); err != nil {
		t.Error(err)
	}
}
