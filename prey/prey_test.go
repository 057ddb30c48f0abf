package prey

import "testing"

func TestShippedLoads(t *testing.T) {
	c, err := Shipped()
	if err != nil {
		t.Fatal(err)
	}
	if len(c.All()) == 0 {
		t.Fatal("no foods")
	}
}
