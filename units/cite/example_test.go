package cite_test

import (
	"errors"
	"fmt"
	"strings"

	"fitchet.example/units/cite"
)

func ExampleParseRef() {
	ref, err := cite.ParseRef("published aafco-2014: p. 6 [cat]")
	fmt.Println(ref.Evidence, ref.Sources, ref.At, ref.Borrowed, err)
	_, err = cite.ParseRef("memory nrc-2006: table 15-10")
	fmt.Println(err)
	// Output:
	// published [aafco-2014] p. 6 cat <nil>
	// evidence "memory": a recalled figure has no evidence: read it in a source (published) or leave it out
}

func ExampleRef_Words() {
	reg, err := cite.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, text := range []string{
		"published usda-sr28: NDB 05100",
		"published fediaf-2018, aafco-2014: table VII-12; p. 6 [cat]",
		"published bell-1999: as cited by sacn5-ch70",
		"derived usda-sr28: 36/(100-39)",
		"practice: two meals a day",
		"choice: the middle of the range",
	} {
		ref, err := cite.ParseRef(text)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Println(ref.Words(reg))
	}
	// Output:
	// USDA SR28, NDB 05100
	// FEDIAF 2018, table VII-12; AAFCO 2014, p. 6 (cat figure)
	// as restated in Bell 1999, as cited by sacn5-ch70
	// derived from USDA SR28: 36/(100-39)
	// common practice: two meals a day
	// our choice: the middle of the range
}

func ExampleRef_Check() {
	reg, err := cite.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	ref := cite.Ref{Evidence: cite.Published, Sources: []string{"usda-sr29"}}
	err = ref.Check(reg)
	fmt.Println(err)
	fmt.Println(errors.Is(err, cite.ErrUnknownSource), errors.Is(err, cite.ErrIncomplete))
	// Output:
	// evidence "published usda-sr29": reference is not complete: published needs a locator (table, page, row)
	// evidence "published usda-sr29": "usda-sr29": source is not in the registry
	// true true
}

// A rescue lays its own sources beside the shipped ones.
func ExampleRegistry_With() {
	shipped, err := cite.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	own, err := cite.LoadSources("own.csv", strings.NewReader(
		"key,short,authors,title,year,edition,publisher,locator,reach,note\n"+
			"brackenford-scales,Brackenford scales,Brackenford Ferret Rescue,Weighing of carcasses,2026,,,,dataset,\n"))
	if err != nil {
		fmt.Println(err)
		return
	}
	all, err := shipped.With(own)
	if err != nil {
		fmt.Println(err)
		return
	}
	ref := cite.Ref{Evidence: cite.Published, Sources: []string{"brackenford-scales"}, At: "row 12"}
	fmt.Println(ref.Check(all), ref.Words(all))
	// Output: <nil> Brackenford scales, row 12
}

func ExampleLoadSources() {
	_, err := cite.LoadSources("own.csv", strings.NewReader(
		"key,short,authors,title,year,edition,publisher,locator,reach,note\n"+
			"scales,,,Weighing of carcasses,26,,,,dataset,\n"+
			"scales,,,Weighing of chicks,2026,,,,heard,\n"))
	fmt.Println(err)
	// Output:
	// own.csv:2:32: year "26": want four digits or nothing
	// own.csv:3:1: key scales is already defined on line 2
	// own.csv:3:37: reach "heard": want full, part, abstract, dataset or restatement
}

// What a source is, and how much of it was read.
func ExampleShipped() {
	reg, err := cite.Shipped()
	if err != nil {
		fmt.Println(err)
		return
	}
	s, ok := reg.Source("usda-sr28")
	fmt.Println(ok, s.Name()+":", s.Reach)
	// Output:
	// true USDA SR28: dataset
}
