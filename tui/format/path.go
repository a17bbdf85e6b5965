package format

import (
	"os"
	"path/filepath"
	"strings"
)

// HomePath takes quotes off, as a dropped file brings them, and opens "~".
func HomePath(text string) string {
	text = strings.Trim(text, `"'`)
	if rest, ok := strings.CutPrefix(text, "~/"); ok {
		if home, err := os.UserHomeDir(); err == nil {
			return filepath.Join(home, rest)
		}
	}
	return text
}

// ShortPath writes a path with ~ for the user's own folder.
func ShortPath(path string) string {
	home, err := os.UserHomeDir()
	if err != nil || home == "" {
		return path
	}
	if rest, ok := strings.CutPrefix(path, home+string(os.PathSeparator)); ok {
		return "~" + string(os.PathSeparator) + rest
	}
	return path
}
