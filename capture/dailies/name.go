package dailies

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"time"
	"unicode"
)

// DefaultPattern names what is written. {clip}, {scene}, {take}, {date} and
// {time} are filled in, the last two with when the clip began.
const DefaultPattern = "{clip}_{scene}_{take}"

// CheckPattern tells what is wrong with a pattern of names.
func CheckPattern(pattern string) error {
	if !strings.Contains(pattern, "{clip}") {
		return errors.New("put {clip} into it, or clips get the same name")
	}
	rest := strings.NewReplacer("{clip}", "", "{scene}", "", "{take}", "", "{date}", "", "{time}", "").Replace(pattern)
	if strings.ContainsAny(rest, "{}") {
		return errors.New("use {clip}, {scene}, {take}, {date}, {time} alone")
	}
	if safe(rest) != rest {
		return fmt.Errorf("%q can't be part of a file name", rest)
	}
	return nil
}

// Stem is a file's name without folder and ending.
func Stem(path string) string {
	return strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))
}

// safe replaces what some system can't have in a file name.
func safe(name string) string {
	return strings.Map(func(r rune) rune {
		if strings.ContainsRune(`/\:*?"<>|`, r) || unicode.IsControl(r) {
			return '-'
		}
		return r
	}, name)
}

// names gives every clip that has a take the name of its file, each once.
func names(clips []Clip, pattern string) []string {
	all, used := make([]string, len(clips)), map[string]bool{}
	for i, c := range clips {
		if len(c.Parts) == 0 {
			continue
		}
		name := fill(pattern, c)
		for n := 2; used[strings.ToLower(name)]; n++ {
			name = fmt.Sprintf("%s~%d", fill(pattern, c), n)
		}
		used[strings.ToLower(name)] = true
		all[i] = name
	}
	return all
}

func fill(pattern string, c Clip) string {
	t, began := c.Parts[0].Take, c.Began()
	date, clock := "undated", "undated"
	if !began.IsZero() {
		date, clock = began.Format("2006-01-02"), began.Format("15-04-05")
	}
	name := strings.NewReplacer("{clip}", safe(Stem(c.Path)), "{scene}", safe(t.Scene), "{take}", safe(t.number()), "{date}", date, "{time}", clock).Replace(pattern)
	return strings.Trim(name, " _-.")
}

// Began is when the clip's first picture was taken: by its timecode, or else
// by the recorder's clock; zero where neither says.
func (c Clip) Began() time.Time {
	if len(c.Parts) == 0 || c.Parts[0].Take.Started.IsZero() {
		return time.Time{}
	}
	p := c.Parts[0]
	began := p.Take.Started.Add(time.Duration(p.TakeS(c.Recording, 0) * float64(time.Second)))
	if code, ok := c.Picture.code(); ok {
		y, m, d := began.Date()
		began = time.Date(y, m, d, 0, 0, 0, 0, began.Location()).Add(time.Duration(code.Seconds() * float64(time.Second)))
	}
	return began
}
