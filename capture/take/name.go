package take

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"time"
	"unicode"
)

// DefaultPattern names the files. {scene}, {take}, {date} and {time} are
// filled in; {take} becomes 003, or room-1 for room tone.
const DefaultPattern = "{scene}_{take}"

// extension of the takes; what is known of one lies beside it.
const (
	extension = ".wav"
	sheetExt  = ".toml"
	binFolder = ".deleted"
)

// maxName keeps names short enough for every file system.
const maxName = 120

// CheckPattern tells what is wrong with a pattern, in a few words for the user
// beside it.
func CheckPattern(pattern string) error {
	if !strings.Contains(pattern, "{take}") {
		return errors.New("put {take} into it, or takes get the same name")
	}
	rest := placeholder.ReplaceAllString(pattern, "")
	if strings.ContainsAny(rest, "{}") {
		return errors.New("use {scene}, {take}, {date}, {time} alone")
	}
	return checkName(rest)
}

// CheckScene tells what is wrong with a scene's name, in words for the user.
func CheckScene(scene string) error {
	if strings.TrimSpace(scene) == "" {
		return errors.New("scene: give it a name or number")
	}
	if err := checkName(scene); err != nil {
		return fmt.Errorf("scene %q: %w", scene, err)
	}
	return nil
}

// checkName refuses what would leave the folder or what some system can't name.
func checkName(name string) error {
	for _, r := range name {
		if strings.ContainsRune(`/\:*?"<>|`, r) || unicode.IsControl(r) {
			return fmt.Errorf("%q can't be part of a file name", r)
		}
	}
	if len(name) > maxName/2 {
		return fmt.Errorf("too long, use at most %d bytes", maxName/2)
	}
	if strings.HasPrefix(name, ".") {
		return errors.New("must not begin with a dot")
	}
	return nil
}

var placeholder = regexp.MustCompile(`\{(scene|take|date|time)\}`)

// FileName fills in a pattern that passes CheckPattern.
func FileName(pattern, scene string, number int, roomTone bool, at time.Time) string {
	take := fmt.Sprintf("%03d", number)
	if roomTone {
		take = fmt.Sprintf("room-%d", number)
	}
	return strings.NewReplacer("{scene}", scene, "{take}", take,
		"{date}", at.Format("2006-01-02"), "{time}", at.Format("15-04-05")).Replace(pattern) + extension
}

// NextNumber gives the number after the highest that a take of this scene has
// in a folder, those deleted included, so that an undo finds its place free.
func NextNumber(dir, pattern, scene string, roomTone bool) int {
	match := numberIn(pattern, scene, roomTone)
	highest := 0
	for _, folder := range []string{dir, filepath.Join(dir, binFolder)} {
		entries, _ := os.ReadDir(folder) // a folder that isn't there has no takes
		for _, e := range entries {
			if found := match.FindStringSubmatch(e.Name()); found != nil {
				n, _ := strconv.Atoi(found[1])
				highest = max(highest, n)
			}
		}
	}
	return highest + 1
}

// numberIn matches the file names of a scene and finds the number.
func numberIn(pattern, scene string, roomTone bool) *regexp.Regexp {
	number := `(\d{1,9})`
	if roomTone {
		number = `room-` + number
	}
	parts := map[string]string{"{scene}": regexp.QuoteMeta(scene), "{take}": number, "{date}": `[\d-]{10}`, "{time}": `[\d-]{8}`}
	expr, rest, seen := "(?i)^", pattern, false
	for _, at := range placeholder.FindAllStringIndex(pattern, -1) {
		gone := len(pattern) - len(rest)
		expr += regexp.QuoteMeta(rest[:at[0]-gone])
		part := parts[pattern[at[0]:at[1]]]
		if strings.Contains(part, "(") && seen {
			part = strings.Replace(part, "(", "(?:", 1)
		}
		seen = seen || strings.Contains(part, "(")
		expr += part
		rest = pattern[at[1]:]
	}
	expr += regexp.QuoteMeta(rest) + `(?:~\d+)?\.(?:wav|toml)$`
	return regexp.MustCompile(expr)
}

// NextScene counts a scene up: 1 → 2, 12A → 12B, 12Z → 12AA, "kitchen" →
// "kitchen 2".
func NextScene(scene string) string {
	head := strings.TrimRightFunc(scene, unicode.IsDigit)
	if digits := scene[len(head):]; digits != "" && len(digits) < 10 {
		n, _ := strconv.Atoi(digits)
		return fmt.Sprintf("%s%0*d", head, len(digits), n+1)
	}
	head = strings.TrimRightFunc(scene, func(r rune) bool { return r >= 'A' && r <= 'Z' })
	letters := []byte(scene[len(head):])
	if len(letters) == 0 || head == "" || !unicode.IsDigit(rune(head[len(head)-1])) {
		return scene + " 2"
	}
	for i := len(letters) - 1; i >= 0; i-- {
		if letters[i] < 'Z' {
			letters[i]++
			return head + string(letters)
		}
		letters[i] = 'A'
	}
	return head + "A" + string(letters)
}
