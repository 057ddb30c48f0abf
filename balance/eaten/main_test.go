package eaten_test

import (
	"flag"
	"fmt"
	"os"
	"testing"
)

// An audit is slow beside other things that are drawn, so fewer are drawn
// unless RAPID_CHECKS or FITCHET_FULL asks for more, as .ci/run does.
func TestMain(m *testing.M) {
	flag.Parse()
	if os.Getenv("RAPID_CHECKS") == "" && os.Getenv("FITCHET_FULL") == "" {
		if err := flag.Set("rapid.checks", "30"); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(2)
		}
	}
	os.Exit(m.Run())
}
