package journal

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

const (
	keepAside = 3       // copies of the store kept from unclean stops
	lowSpace  = 1 << 30 // bytes free below which Open tells
)

// aside is a free name in the folder for things that are set aside. It starts with
// the time, so that names sort by age.
func (j *Journal) aside(what string) string {
	base := filepath.Join(j.cfg.Dir, "aside", j.cfg.Now().UTC().Format("20060102T150405")+"-"+what)
	name := base
	for n := 2; exists(name); n++ {
		name = fmt.Sprintf("%s.%d", base, n)
	}
	return name
}

// takeMarker reports whether the last stop was a clean one, and removes the mark:
// from now on a stop is unclean until Close says otherwise. A new folder is clean.
func (j *Journal) takeMarker() (bool, error) {
	name := filepath.Join(j.cfg.Dir, "clean")
	if !exists(name) {
		return !exists(filepath.Join(j.cfg.Dir, "store")), nil
	}
	return true, errors.Join(os.Remove(name), syncDir(j.cfg.Dir))
}

// watchSpace tells, once, when the disk is getting full.
func (j *Journal) watchSpace() {
	free, err := freeSpace(j.cfg.Dir)
	if err == nil && free < lowSpace && !j.lowTold {
		j.lowTold = true
		j.cfg.Log.Warn("the disk is getting full", "free", bytesText(free), "dir", j.cfg.Dir)
		j.note(Finding{Place: "disk", Note: true, What: "only " + bytesText(free) + " free in " + j.cfg.Dir,
			Fix: "make room before entries can no longer be saved"})
	}
}

// copyAside copies the store's folder before the server opens it, because the
// server cuts what it cannot read. Without room it tells and goes on: the second
// copies still have every entry.
func (j *Journal) copyAside() {
	from := filepath.Join(j.cfg.Dir, "store")
	if !exists(from) {
		return
	}
	to := j.aside("store")
	err := j.copyStore(from, to)
	f := Finding{Place: InStore, Note: true, What: "the last stop was not a clean one", Fix: "a copy from before this start is in " + to}
	if err != nil {
		f.Fix = fmt.Sprintf("no copy could be made before this start: %v", err)
	}
	j.note(f)
}

// copyStore copies from to to when there is room for it, and drops old copies.
func (j *Journal) copyStore(from, to string) error {
	size, err := treeSize(from)
	if err != nil {
		return err
	}
	free, err := freeSpace(j.cfg.Dir)
	if err != nil {
		return err
	}
	if free < 2*size {
		return fmt.Errorf("it needs %s and %s are free", bytesText(size), bytesText(free))
	}
	if err := copyTree(from, to); err != nil {
		return errors.Join(err, os.RemoveAll(to)) // ours, half made
	}
	return j.dropOldCopies()
}

// dropOldCopies keeps the newest copies of the store. Nothing else in the folder is
// ever removed.
func (j *Journal) dropOldCopies() error {
	all, err := filepath.Glob(filepath.Join(j.cfg.Dir, "aside", "*-store*"))
	if err != nil {
		return err
	}
	all = slices.DeleteFunc(all, func(n string) bool {
		_, what, _ := strings.Cut(filepath.Base(n), "-")
		return what != "store" && !strings.HasPrefix(what, "store.")
	})
	slices.Sort(all)
	for _, old := range all[:max(0, len(all)-keepAside)] {
		if err := os.RemoveAll(old); err != nil {
			return err
		}
	}
	return nil
}
