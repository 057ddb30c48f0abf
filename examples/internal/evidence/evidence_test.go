package evidence

import (
	"strings"
	"testing"

	"fitchet.example/units/cite"
)

func TestNotes(t *testing.T) {
	t.Parallel()
	reg, err := cite.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	ref := func(s string) cite.Ref {
		r, err := cite.ParseRef(s)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	n := New(reg)
	if n.List() == nil || n.Sources() == nil || len(n.List())+len(n.Sources()) != 0 {
		t.Error("notes before any was asked for")
	}
	band, ours, trade := ref("published linsart-2018: summary"), ref("choice: a round figure"), ref("practice: twice a day")
	for _, tc := range []struct {
		refs []cite.Ref
		want string
	}{
		{[]cite.Ref{trade}, "common practice"},
		{[]cite.Ref{ours, trade}, "our choice [1]; common practice"},
		{[]cite.Ref{band}, "published [2]"},
		{[]cite.Ref{ours, ours}, "our choice [1]"},
	} {
		if got := n.Words(tc.refs...); got != tc.want {
			t.Errorf("%q, want %q", got, tc.want)
		}
	}
	if l := n.List(); len(l) != 2 || l[0].N != 1 || !strings.Contains(l[0].Text, "a round figure") || l[1].Ref != band.String() {
		t.Errorf("%+v", l)
	}
	n.Cite(ref("published jones-2020: abstract"))
	s := n.Sources()
	if len(s) != 2 || s[0].Key != "jones-2020" || s[1].Key != "linsart-2018" || !strings.HasSuffix(s[1].Text, ".") {
		t.Errorf("%+v", s)
	}
}
