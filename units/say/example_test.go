package say_test

import (
	"fmt"

	"fitchet.example/units/say"
)

func ExampleAnd() {
	fmt.Println("for", say.And([]string{"bramble", "moss", "tansy"}))
	fmt.Println("for", say.And([]string{"bramble", "moss"}))
	// Output:
	// for bramble, moss and tansy
	// for bramble and moss
}

func ExampleCounted() {
	fmt.Println(say.Counted(1, "wing", "wings"), "and", say.Counted(3, "mouse", "mice"))
	// Output:
	// 1 wing and 3 mice
}

// Input has no length; a message has one.
func ExampleClip() {
	fmt.Println(say.Clip("chicken wings, chicken necks, chicken thighs, and whatever else was in the freezer"))
	// Output:
	// chicken wings, chicken necks, chicken thighs, and whatever e…
}
