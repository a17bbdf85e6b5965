package dailies

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"rollready/capture/survey"
	"rollready/presets/whole"
)

// Collect finds the clips of cards and the takes of a folder. What lies among
// the takes, or in the folder out that is written to ("" for none), is no clip.
// The error says what is missing.
func Collect(cards []string, takesDir, out string) (clips, takes []string, err error) {
	if takes, err = survey.Expand([]string{takesDir}); err != nil {
		return nil, nil, fmt.Errorf("takes: %w", err)
	}
	if clips, err = survey.Expand(cards); err != nil {
		return nil, nil, err
	}
	if !someThere(takes) {
		return nil, nil, fmt.Errorf("takes: there is no %s: give their folder with --takes DIR", takesDir)
	}
	if !someThere(clips) {
		return nil, nil, fmt.Errorf("there is no %s: put the card in, or name the folder of its clips", strings.Join(cards, ", "))
	}
	made := func(path string) bool { return out != "" && within(out, path) }
	takes = slices.DeleteFunc(takes, made)
	clips = slices.DeleteFunc(clips, func(path string) bool {
		return made(path) || slices.ContainsFunc(takes, func(take string) bool { return whole.Same(take, path) })
	})
	if len(clips) == 0 {
		return nil, nil, errors.New("no clips left: the card holds only takes; give the folder of the camera's clips")
	}
	return clips, takes, nil
}

// someThere tells whether one of the files is there at all.
func someThere(paths []string) bool {
	return slices.ContainsFunc(paths, func(path string) bool {
		_, err := os.Lstat(path)
		return !errors.Is(err, fs.ErrNotExist)
	})
}

// within tells whether a file lies in a folder.
func within(dir, path string) bool {
	d, errDir := filepath.Abs(dir)
	p, errPath := filepath.Abs(path)
	rel, err := filepath.Rel(d, p)
	return errors.Join(errDir, errPath, err) == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator))
}
