//go:build !unix

package built_test

import "os"

var terminate = os.Kill
