package dailies

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"

	"rollready/presets/whole"
)

// keptVersion changes whenever what is kept would be made differently today.
const keptVersion = "2"

// shelf is the folder where prints and results are kept, one file each, by
// key. What can't be read there is made anew.
type shelf struct{ dir string }

func newShelf(dir string) (shelf, error) {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return shelf{}, fmt.Errorf("keep what is found out: %w: choose another folder with --config", err)
	}
	return shelf{dir}, nil
}

// keyOf names a state of a file: where it lies, its size and time of change.
func keyOf(path string) (string, os.FileInfo, error) {
	full, err := filepath.Abs(path)
	if err != nil {
		return "", nil, err
	}
	info, err := os.Stat(full)
	if err != nil {
		return "", nil, err
	}
	if !info.Mode().IsRegular() {
		return "", nil, fmt.Errorf("read %s: not a file", path)
	}
	return hash(full, fmt.Sprint(info.Size()), fmt.Sprint(info.ModTime().UnixNano())), info, nil
}

func hash(parts ...string) string {
	h := sha256.New()
	for _, p := range parts {
		fmt.Fprintf(h, "%d:%s", len(p), p)
	}
	return hex.EncodeToString(h.Sum(nil)[:16])
}

func (s shelf) path(key, kind string) string {
	return filepath.Join(s.dir, key+"-"+kind+keptVersion+".json")
}

// load reads what is kept; false where there is nothing of use.
func (s shelf) load(key, kind string, value any) bool {
	raw, err := os.ReadFile(s.path(key, kind))
	return err == nil && json.Unmarshal(raw, value) == nil
}

func (s shelf) save(key, kind string, value any) error {
	raw, err := json.Marshal(value)
	if err != nil {
		return err
	}
	if err := whole.Write(s.path(key, kind), raw, 0o644); err != nil {
		return fmt.Errorf("keep what was found out: %w", err)
	}
	return nil
}
