package format

import (
	"fmt"
	"regexp"
	"strings"
)

var (
	pictureMark = regexp.MustCompile(`(?m)^!\[.*\n+`)
	linkMark    = regexp.MustCompile(`\[([^\]]*)\]\([^)]*\)`)
	headingMark = regexp.MustCompile(`(?m)^#+ (.*)$`)
	tableMark   = regexp.MustCompile(`(?m)^\|(?:---?\|)+\n`)
	cellMark    = regexp.MustCompile(`(?m)^\| (.*?) +\| (.*) \|$`)
)

// Unlinked is Markdown without pictures and links.
func Unlinked(text string) string {
	return linkMark.ReplaceAllString(pictureMark.ReplaceAllString(text, ""), "$1")
}

// Markdown is Markdown as it is read on a terminal: headings bold, pictures,
// links and marks left out, rows of tables in two columns.
func Markdown(text string, bold func(...string) string) string {
	text = tableMark.ReplaceAllString(Unlinked(text), "")
	text = strings.NewReplacer("**", "", "`", "").Replace(text)
	text = headingMark.ReplaceAllStringFunc(text, func(line string) string { return bold(headingMark.FindStringSubmatch(line)[1]) })
	return cellMark.ReplaceAllStringFunc(text, func(row string) string {
		of := cellMark.FindStringSubmatch(row)
		return strings.TrimRight(fmt.Sprintf("  %-18s %s", of[1], strings.Join(Wrap(of[2], 58), "\n"+strings.Repeat(" ", 21))), " ")
	})
}
