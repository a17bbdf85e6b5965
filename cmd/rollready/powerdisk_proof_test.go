//go:build proof && linux

package main

import (
	"io/fs"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// diskFile is a file's content: what is on the disk for good, and what was
// written since and may be lost in a power cut.
type diskFile struct {
	good    []byte
	pending []diskOp
}

// diskModel is a file system of which only what was synced outlasts a power
// cut: of a file its content, of a folder its names.
type diskModel struct {
	files   map[int]*diskFile
	now     map[string]int // names as programs see them; folders are −1
	good    map[string]int // names that are on the disk for good
	pending []renaming     // changes of names since
	next    int
}

// renaming is a change of a name: which file it is of then, 0 for none.
type renaming struct {
	path string
	id   int
}

// newDisk begins with what lies in a folder.
func newDisk(t *testing.T, dir string) *diskModel {
	d := &diskModel{files: map[int]*diskFile{}, now: map[string]int{}, good: map[string]int{}}
	require.NoError(t, filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		d.now[path] = -1
		if !e.IsDir() {
			raw, err := os.ReadFile(path)
			require.NoError(t, err)
			d.next++
			d.now[path], d.files[d.next] = d.next, &diskFile{good: raw}
		}
		d.good[path] = d.now[path]
		return nil
	}))
	return d
}

func (d *diskModel) name(path string, id int) {
	d.pending = append(d.pending, renaming{path, id})
	settle(d.now, renaming{path, id})
}

func settle(names map[string]int, change renaming) {
	if change.id == 0 {
		delete(names, change.path)
	} else {
		names[change.path] = change.id
	}
}

func (d *diskModel) do(op diskOp) {
	switch op.call {
	case "openat":
		if d.now[op.path] == 0 && op.new {
			d.next++
			d.files[d.next] = &diskFile{}
			d.name(op.path, d.next)
		}
		if f := d.files[d.now[op.path]]; f != nil && op.cut {
			f.pending = append(f.pending, diskOp{call: "ftruncate"})
		}
	case "mkdirat":
		d.name(op.path, -1)
	case "renameat":
		d.name(op.to, d.now[op.path])
		d.name(op.path, 0)
	case "linkat":
		d.name(op.to, d.now[op.path])
	case "unlinkat":
		d.name(op.path, 0)
	case "write", "ftruncate":
		if f := d.files[d.now[strings.TrimSuffix(op.path, " (deleted)")]]; f != nil {
			f.pending = append(f.pending, op)
		}
	case "fsync":
		d.sync(op.path)
	}
}

// sync makes a file's content good, or the names in a folder.
func (d *diskModel) sync(path string) {
	if f := d.files[d.now[path]]; f != nil {
		f.good, f.pending = applied(f.good, f.pending), nil
		return
	}
	d.pending = slices.DeleteFunc(d.pending, func(change renaming) bool {
		if filepath.Dir(change.path) != path {
			return false
		}
		settle(d.good, change)
		return true
	})
}

func applied(content []byte, ops []diskOp) []byte {
	content = slices.Clone(content)
	for _, op := range ops {
		length := op.at + int64(len(op.data))
		if grow := int(length) - len(content); grow > 0 {
			content = append(content, make([]byte, grow)...)
		}
		if op.call == "ftruncate" {
			content = content[:op.at]
			continue
		}
		copy(content[op.at:], op.data)
	}
	return content
}

// A cut decides what of that which was not synced is on the disk none the less.
type cut struct {
	name  string
	names func(n int) []int // which of n changes of names
	data  func(n int) []int // which of n writes
}

func none(int) []int { return nil }

func all(n int) []int {
	of := make([]int, n)
	for i := range of {
		of[i] = i
	}
	return of
}

func some(n int) []int {
	return slices.DeleteFunc(all(n), func(int) bool { return rand.IntN(2) == 0 })
}

func begun(n int) []int { return all(rand.IntN(n + 1)) }

var cuts = []cut{
	{"nothing unsynced is there", none, none},
	{"names but no data", all, none},
	{"data but no names", none, all},
	{"names, and some of the writes", begun, some},
	{"all is there", all, all},
}

// after lays out a folder as it would be after a power cut.
func (d *diskModel) after(t *testing.T, c cut, from, to string) {
	names := maps.Clone(d.good)
	for _, i := range c.names(len(d.pending)) {
		settle(names, d.pending[i])
	}
	for path, id := range names {
		place := filepath.Join(to, strings.TrimPrefix(path, from))
		if id == -1 {
			require.NoError(t, os.MkdirAll(place, 0o755))
			continue
		}
		if _, is := names[filepath.Dir(path)]; !is && filepath.Dir(path) != from {
			continue // the folder itself did not last
		}
		f := d.files[id]
		var ops []diskOp
		for _, i := range c.data(len(f.pending)) {
			ops = append(ops, f.pending[i])
		}
		require.NoError(t, os.MkdirAll(filepath.Dir(place), 0o755))
		require.NoError(t, os.WriteFile(place, applied(f.good, ops), 0o644))
	}
}
