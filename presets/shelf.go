package presets

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"rollready/presets/whole"
)

// ext is the extension of every file kept.
const ext = ".toml"

// binDir holds the deleted files. No name begins with a dot, so it collides
// with none.
const binDir = ".deleted"

// Shelf keeps things of one kind, one file each; the name is the file's name.
// Every call reads or writes the disk. Any goroutine may call, and several
// programs may share a shelf: the last one to write a name wins.
type Shelf[T any] struct {
	dir    string
	what   string // "preset", "camera"
	other  kind   // what a file of the user's may be instead
	encode func(T) ([]byte, error)
	decode func([]byte) (T, error)
	name   func(*T) *string
}

// kind is what a file holds, and a key that each of them has.
type kind struct{ what, key string }

// is tells whether a file is of the kind.
func (k kind) is(raw []byte) bool {
	var all map[string]any
	return decode(raw, &all) == nil && all[k.key] != nil
}

// List gives the names in order, readable or not.
func (s *Shelf[T]) List() ([]string, error) { return names(s.dir) }

// Deleted gives the names that Undelete can bring back.
func (s *Shelf[T]) Deleted() ([]string, error) { return names(filepath.Join(s.dir, binDir)) }

func names(dir string) ([]string, error) {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	var list []string
	for _, e := range entries {
		name, ours := strings.CutSuffix(e.Name(), ext)
		if ours && !e.IsDir() && CheckName(name) == nil {
			list = append(list, name)
		}
	}
	slices.SortFunc(list, func(a, b string) int {
		return strings.Compare(strings.ToLower(a), strings.ToLower(b))
	})
	return list, err
}

// Load reads one. It fails with ErrNotFound, a *NewerError, or a
// *SetAsideError once the unreadable file has been moved.
func (s *Shelf[T]) Load(name string) (T, error) {
	var none T
	path, err := s.path(name)
	if err != nil {
		return none, err
	}
	thing, err := load(path, s.decode)
	if errors.Is(err, fs.ErrNotExist) {
		return none, s.fail(name, ErrNotFound)
	}
	*s.name(&thing) = name
	return thing, err
}

// load reads a file, and sets it aside where it can't be understood.
func load[T any](path string, decode func([]byte) (T, error)) (T, error) {
	thing, err := read(path, decode)
	var newer *NewerError
	var disk *fs.PathError
	if err == nil || errors.As(err, &newer) || errors.As(err, &disk) {
		return thing, err
	}
	return thing, setAside(path, err)
}

// read reads a file and leaves it as it is.
func read[T any](path string, decode func([]byte) (T, error)) (T, error) {
	var none T
	raw, err := readBounded(path)
	if err != nil {
		return none, err
	}
	thing, err := decode(raw)
	var newer *NewerError
	if errors.As(err, &newer) {
		newer.Path = path
	}
	if err != nil {
		return none, err
	}
	return thing, nil
}

// Save writes one, new or in place of the old of its name.
func (s *Shelf[T]) Save(thing T) error {
	path, err := s.path(*s.name(&thing))
	if err != nil {
		return err
	}
	return store(path, thing, s.encode, s.decode, false)
}

// Add writes one under a name that must be free.
func (s *Shelf[T]) Add(thing T) error {
	name := *s.name(&thing)
	path, err := s.path(name)
	if err != nil {
		return err
	}
	return s.taken(name, store(path, thing, s.encode, s.decode, true))
}

// store writes a file after it has been read back from memory. A file in its
// place that can't be read is set aside first; a newer one is left, and the
// error says so.
func store[T any](path string, thing T, encode func(T) ([]byte, error), decode func([]byte) (T, error), fresh bool) error {
	raw, err := encode(thing)
	if err != nil {
		return err
	}
	back, err := decode(raw)
	if err != nil {
		return err
	}
	if again, err := encode(back); err != nil || !bytes.Equal(again, raw) {
		return fmt.Errorf("%s is left as it was: what would be written does not read back as meant", path)
	}
	if _, err := load(path, decode); err != nil {
		var aside *SetAsideError
		if !errors.Is(err, fs.ErrNotExist) && !(errors.As(err, &aside) && aside.MovedTo != "") {
			return err
		}
	}
	if fresh {
		return whole.Create(path, raw, private)
	}
	return whole.Write(path, raw, private)
}

// Copy makes a second one under a new name.
func (s *Shelf[T]) Copy(from, to string) error {
	thing, err := s.Load(from)
	if err != nil {
		return err
	}
	*s.name(&thing) = to
	return s.Add(thing)
}

// Rename gives one a new name that must be free.
func (s *Shelf[T]) Rename(from, to string) error {
	old, err := s.path(from)
	if err != nil {
		return err
	}
	path, err := s.path(to)
	if err != nil {
		return err
	}
	if from != to && strings.EqualFold(from, to) && whole.Same(old, path) {
		return whole.Replace(old, path) // a file system that ignores case
	}
	return s.move(from, old, to, path)
}

// move takes a file to a free place.
func (s *Shelf[T]) move(from, old, to, path string) error {
	if _, err := os.Lstat(old); errors.Is(err, fs.ErrNotExist) {
		return s.fail(from, ErrNotFound)
	}
	if err := whole.Move(old, path); err != nil {
		return s.taken(to, err)
	}
	return nil
}

// Delete takes one off the shelf and keeps it for Undelete. Of each name the
// last one deleted is kept.
func (s *Shelf[T]) Delete(name string) error {
	path, err := s.path(name)
	if err != nil {
		return err
	}
	bin := filepath.Join(s.dir, binDir)
	if err := whole.Folder(bin); err != nil {
		return err
	}
	err = whole.Replace(path, filepath.Join(bin, name+ext))
	if errors.Is(err, fs.ErrNotExist) {
		return s.fail(name, ErrNotFound)
	}
	return err
}

// Undelete brings back the one last deleted under the name, if it is free.
func (s *Shelf[T]) Undelete(name string) error {
	path, err := s.path(name)
	if err != nil {
		return err
	}
	return s.move(name, filepath.Join(s.dir, binDir, name+ext), name, path)
}

// Export writes one to a file of the user's, which must not exist.
func (s *Shelf[T]) Export(name, file string) error {
	raw, err := s.Text(name)
	if err != nil {
		return err
	}
	return s.taken(file, whole.Create(file, raw, private))
}

// Text is what Export writes.
func (s *Shelf[T]) Text(name string) ([]byte, error) {
	thing, err := s.Load(name)
	if err != nil {
		return nil, err
	}
	return s.encode(thing)
}

// Import reads a file of the user's, leaves it as it is, and keeps its
// content under a name that must be free.
func (s *Shelf[T]) Import(file, name string) error {
	thing, err := read(file, func(raw []byte) (T, error) {
		if s.other.is(raw) {
			return *new(T), fmt.Errorf("it is a %s", s.other.what)
		}
		return s.decode(raw)
	})
	var disk *fs.PathError
	var newer *NewerError
	if err != nil && !errors.As(err, &disk) && !errors.As(err, &newer) {
		return fmt.Errorf("%s is no %s: %w", file, s.what, err)
	}
	if err != nil {
		return err
	}
	*s.name(&thing) = name
	return s.Add(thing)
}

func (s *Shelf[T]) path(name string) (string, error) {
	return filepath.Join(s.dir, name+ext), CheckName(name)
}

func (s *Shelf[T]) fail(name string, err error) error {
	return fmt.Errorf("%s %q: %w", s.what, name, err)
}

// taken words the error of a name that exists.
func (s *Shelf[T]) taken(name string, err error) error {
	if errors.Is(err, fs.ErrExist) {
		return s.fail(name, ErrExists)
	}
	return err
}
