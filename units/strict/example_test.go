package strict_test

import (
	"errors"
	"fmt"
	"strings"

	"fitchet.example/units/strict"
)

// mass stands for the parser of a quantity.
func mass(s string) (string, error) {
	if !strings.HasSuffix(s, " g") && !strings.HasSuffix(s, " oz") {
		return "", errors.New("a mass needs its unit, as in 57 g or 2 oz")
	}
	return s, nil
}

func ExampleParse() {
	file := `
name: Brackenford Ferret Rescue
animals:
  - {name: Pip, weight: 1100 g}
  - {name: Tansy, weight: 24 oz, meals: 3}
`
	doc := strict.Parse("household.yaml", []byte(file))
	m := doc.Root().Map()
	fmt.Println(m.Text("name"))
	for _, n := range m.Get("animals").List() {
		a := n.Map()
		name, weight := a.Text("name"), strict.Value(a, "weight", mass)
		meals, ok := a.OptInt("meals", 1, 24)
		if !ok {
			meals = 2
		}
		a.Done()
		fmt.Printf("%s, %s, %d meals\n", name, weight, meals)
	}
	m.Done()
	fmt.Println(doc.Err())
	// Output:
	// Brackenford Ferret Rescue
	// Pip, 1100 g, 2 meals
	// Tansy, 24 oz, 3 meals
	// <nil>
}

func ExampleDoc_Err() {
	file := `name: Brackenford Ferret Rescue
animals:
  - {name: Pip, wieght: 1100 g, weight: 1100}
  - {name: ~, weight: 24 oz}
as-of: &today 2026-11-25
`
	doc := strict.Parse("household.yaml", []byte(file))
	m := doc.Root().Map()
	m.Text("name")
	m.Text("as-of")
	for _, n := range m.Get("animals").List() {
		a := n.Map()
		a.Text("name")
		strict.Value(a, "weight", mass)
		a.Done()
	}
	m.Done()
	fmt.Println(doc.Err())
	// Output:
	// household.yaml:3:17: unknown key "wieght", did you mean "weight"?
	// household.yaml:3:41: a mass needs its unit, as in 57 g or 2 oz
	// household.yaml:4:12: no value here: give one, or leave the key out
	// household.yaml:5:8: anchors (&today) are not allowed
}

// JSON is the same model.
func ExampleParse_json() {
	doc := strict.Parse("plan.json", []byte(`{"name":"Pip","name":"Tansy","weight":null}`))
	m := doc.Root().Map()
	fmt.Println(m.Text("name"))
	m.Opt("weight")
	m.Done()
	fmt.Println(doc.Err())
	// Output:
	// Pip
	// plan.json:1:15: key "name" is already given on line 1
	// plan.json:1:39: no value here: give one, or leave the key out
}

// A caller notes what only it can see, at the place in the file.
func ExampleNode_Fail() {
	doc := strict.Parse("plan.yaml", []byte("days: 9\n"))
	m := doc.Root().Map()
	if days := m.Int("days", 1, 31); days > 7 {
		m.Get("days").Fail("a week has 7 days, not %d", days)
	}
	fmt.Println(doc.Err())
	// Output: plan.yaml:1:7: a week has 7 days, not 9
}

func ExampleNearest() {
	fmt.Println(strict.Nearest("potrion", []string{"animals", "portion", "position"}))
	fmt.Println(strict.Nearest("colour", []string{"animals", "portion"}))
	// Output:
	// portion true
	//  false
}

// A list of short values, and one that need not be there.
func ExampleEach() {
	doc := strict.Parse("day.yaml", []byte("bowls: [57 g, 2 oz, 60]\n"))
	m := doc.Root().Map()
	fmt.Println(strict.Each(m.Get("bowls"), mass))
	_, said := strict.OptValue(m, "water", mass)
	fmt.Println("water was said:", said)
	m.Done()
	fmt.Println(doc.Err())
	// Output:
	// [57 g 2 oz]
	// water was said: false
	// day.yaml:1:21: a mass needs its unit, as in 57 g or 2 oz
}

// What people call something: one line that shows.
func ExampleName() {
	name, err := strict.Name("Bramble")
	fmt.Println(name, err)
	_, err = strict.Name("Bram\nble")
	fmt.Println(err)
	// Output:
	// Bramble <nil>
	// "Bram\nble": not a name that can stand on a sheet: it holds the character U+000A
}

// A program tells one kind of fault from another, and where each is.
func ExampleFaults() {
	doc := strict.ReadAll("home.yaml", strings.NewReader("weight: 800\nmeals: two\n"))
	m := doc.Root().Map()
	strict.Value(m, "weight", mass)
	m.Int("meals", 1, 12)
	m.Done()
	var faults strict.Faults
	if errors.As(doc.Err(), &faults) {
		for _, f := range faults {
			fmt.Printf("line %d, column %d: %s\n", f.Line, f.Col, f.Msg)
		}
	}
	// Output:
	// line 1, column 9: a mass needs its unit, as in 57 g or 2 oz
	// line 2, column 8: want a whole number in plain digits without quotes, found "two"
}

// Only what has changed is changed in the file that was read.
func ExampleDoc_Rewrite() {
	doc := strict.Parse("home.yaml", []byte(`name: Brackenford Ferret Rescue   # by the brook
weight: 800 g
`))
	m := doc.Root().Map()
	was := strict.Fields{{Key: "name", Value: m.Text("name")}, {Key: "weight", Value: m.Text("weight")}}
	if err := doc.Err(); err != nil {
		fmt.Println(err)
		return
	}
	want := strict.Fields{was[0], {Key: "weight", Value: "815 g"}}
	text, lost, err := doc.Rewrite(was, want, nil)
	fmt.Print(string(text))
	fmt.Println(len(lost), "lost", err)
	// Output:
	// name: Brackenford Ferret Rescue   # by the brook
	// weight: 815 g
	// 0 lost <nil>
}

// A file that a program writes.
func ExampleFields_YAML() {
	text, err := strict.Fields{
		{Key: "name", Value: "no"}, // quoted, so that nobody reads it as false
		{Key: "meals", Value: int64(2)},
	}.YAML()
	fmt.Print(string(text), err)
	// Output:
	// name: "no"
	// meals: 2
	// <nil>
}
