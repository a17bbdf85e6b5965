package strips

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// CheckName tells what is wrong with a person's name, in words for the user.
func CheckName(name string) error {
	switch {
	case utf8.RuneCountInString(name) > MaxName:
		return fmt.Errorf("name %q: at most %d letters", name, MaxName)
	case strings.ContainsFunc(name, func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !strings.ContainsRune(" -_.'", r)
	}):
		return fmt.Errorf("name %q: letters, digits and spaces only", name)
	}
	return nil
}
