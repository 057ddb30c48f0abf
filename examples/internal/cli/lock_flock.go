//go:build darwin || dragonfly || freebsd || illumos || linux || netbsd || openbsd

package cli

import (
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
)

// hold marks a part as that of a program that runs: the system lets go of the
// lock when the program ends, in whatever way. Where it knows no locks, nobody
// gets one, and nothing is taken for a leftover.
func hold(f *os.File) {
	for syscall.Flock(int(f.Fd()), syscall.LOCK_EX) == syscall.EINTR {
	}
}

// removeDead removes a part that no program holds.
func removeDead(path string) {
	f, err := os.OpenFile(path, os.O_RDWR|syscall.O_NOFOLLOW|syscall.O_NONBLOCK, 0)
	if err != nil {
		return
	}
	defer f.Close()
	if syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB) == nil {
		_ = os.Remove(path) // somebody else may have been faster
	}
}

// keepOwner gives a file the owner of another, where that is allowed.
func keepOwner(f *os.File, old fs.FileInfo) {
	at, err := f.Stat()
	if err != nil {
		return
	}
	is, ok := at.Sys().(*syscall.Stat_t)
	was, too := old.Sys().(*syscall.Stat_t)
	if ok && too && (is.Uid != was.Uid || is.Gid != was.Gid) {
		_ = f.Chown(int(was.Uid), int(was.Gid)) // only an administrator may give files away
	}
}

// place gives a part its name and closes it. It is held until it has its name.
func place(f *os.File, target string) error {
	if err := os.Rename(f.Name(), target); err != nil {
		return err
	}
	_ = f.Close() // all of it is on the disk
	if dir, err := os.Open(filepath.Dir(target)); err == nil {
		_ = dir.Sync() // the file is whole in any case; not every file system can
		_ = dir.Close()
	}
	return nil
}
