package presets

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// maxName is the longest name in letters. With ".toml" it fits every file
// system even where each letter takes four bytes.
const maxName = 60

// reserved are device names on Windows, with any extension. Source: Microsoft,
// "Naming Files, Paths, and Namespaces", from memory.
var reserved = map[string]bool{"con": true, "prn": true, "aux": true, "nul": true, "conin$": true, "conout$": true}

// CheckName tells whether a preset or camera may be called so. A name becomes
// a file's name, so it must be good on every system and stay in its folder.
func CheckName(name string) error {
	why := ""
	switch {
	case name == "":
		return fmt.Errorf("the name is empty: give it at least one letter")
	case !utf8.ValidString(name) || strings.ContainsFunc(name, unprintable):
		why = "it holds characters that can't be shown"
	case utf8.RuneCountInString(name) > maxName:
		why = fmt.Sprintf("it has more than %d letters", maxName)
	case strings.ContainsAny(name, `/\`):
		why = "a name can't lead to another folder"
	case strings.ContainsAny(name, `<>:"|?*`):
		why = `leave out < > : " | ? *`
	case name[0] == '.':
		why = "it begins with a dot"
	case strings.TrimSpace(name) != name || strings.HasSuffix(name, "."):
		why = "it begins or ends with a space, or ends with a dot"
	case isReserved(name):
		why = "some systems keep it for a device"
	default:
		return nil
	}
	return fmt.Errorf("name %q: %s; choose another", name, why)
}

func unprintable(r rune) bool { return !unicode.IsPrint(r) }

func isReserved(name string) bool {
	base, _, _ := strings.Cut(strings.ToLower(name), ".")
	base = strings.TrimSpace(base)
	port, isPort := strings.CutPrefix(base, "com")
	if !isPort {
		port, isPort = strings.CutPrefix(base, "lpt")
	}
	if isPort && utf8.RuneCountInString(port) == 1 {
		return strings.Contains("0123456789¹²³", port)
	}
	return reserved[base]
}
