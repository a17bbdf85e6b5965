package survey

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// endings of names that a folder is searched for; a file named outright may
// have any.
var endings = []string{".wav", ".bwf", ".rf64", ".w64", ".flac", ".aif", ".aiff", ".m4a", ".mp3", ".ogg", ".opus", ".mov", ".mp4", ".mkv", ".mts", ".mxf", ".avi"}

// Recording tells whether a name ends as those of recordings do.
func Recording(name string) bool {
	return slices.Contains(endings, strings.ToLower(filepath.Ext(name)))
}

// Expand turns files, folders and patterns into the paths of recordings, in
// the order given, each once. Files inside a folder come by name; hidden ones
// are left out. The error says which word leads to nothing.
func Expand(words []string) ([]string, error) {
	var paths []string
	for _, word := range words {
		found, err := expand(word)
		if err != nil {
			return nil, err
		}
		for _, path := range found {
			if !slices.Contains(paths, path) {
				paths = append(paths, path)
			}
		}
	}
	return paths, nil
}

func expand(word string) ([]string, error) {
	info, err := os.Stat(word)
	if err == nil && info.IsDir() {
		return inFolder(word)
	}
	if err == nil {
		return []string{word}, nil
	}
	found, globErr := filepath.Glob(word)
	if globErr != nil {
		return nil, fmt.Errorf("pattern %q: %w", word, globErr)
	}
	if len(found) == 0 {
		return []string{word}, nil // opening it will tell what is wrong
	}
	return found, nil
}

func inFolder(dir string) (paths []string, err error) {
	err = filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		hidden := strings.HasPrefix(entry.Name(), ".") && path != dir
		switch {
		case err != nil:
			return err
		case hidden && entry.IsDir():
			return fs.SkipDir
		case !hidden && entry.Type().IsRegular() && slices.Contains(endings, strings.ToLower(filepath.Ext(path))):
			paths = append(paths, path)
		}
		return nil
	})
	if err == nil && len(paths) == 0 {
		err = fmt.Errorf("folder %s: no recordings in it", dir)
	}
	return paths, err
}
