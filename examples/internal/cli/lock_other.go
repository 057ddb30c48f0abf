//go:build !(darwin || dragonfly || freebsd || illumos || linux || netbsd || openbsd)

package cli

import (
	"io/fs"
	"os"
	"time"
)

// hold does nothing: a part is told from a leftover by its age.
func hold(*os.File) {}

// deadAge is how long a part was not written to when nobody writes it any more.
const deadAge = 24 * time.Hour

// removeDead removes a part that nobody has written to for long.
func removeDead(path string) {
	if at, err := os.Lstat(path); err == nil && time.Since(at.ModTime()) > deadAge {
		_ = os.Remove(path) // it may be gone, or open
	}
}

func keepOwner(*os.File, fs.FileInfo) {}

// place closes a part and gives it its name: an open file cannot be renamed
// everywhere.
func place(f *os.File, target string) error {
	if err := f.Close(); err != nil {
		return err
	}
	return os.Rename(f.Name(), target)
}
