package main

import (
	"embed"
	"fmt"
	"io/fs"
	"path"
	"regexp"
	"slices"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
	"github.com/spf13/cobra"
)

// The topics of help, as Markdown, written once: for the terminal, for man
// pages, and to be read where the source is.
//
//go:embed help/*.md
var topicFiles embed.FS

// topic is a page of help about more than one command.
type topic struct{ name, title, text string }

// topics gives all by their names in order.
func topics() (all []topic) {
	files, _ := fs.Glob(topicFiles, "help/*.md")
	slices.Sort(files)
	for _, f := range files {
		raw, _ := topicFiles.ReadFile(f) // what is embedded can be read
		text := string(raw)
		title, _, _ := strings.Cut(strings.TrimPrefix(text, "# "), "\n")
		all = append(all, topic{strings.TrimSuffix(path.Base(f), ".md"), title, text})
	}
	return all
}

// newHelp shows a topic or a command's help.
func newHelp(a *app) *cobra.Command {
	list := "Topics:\n"
	for _, t := range topics() {
		list += fmt.Sprintf("  %-12s %s\n", t.name, t.title)
	}
	return &cobra.Command{
		Use:   "help [TOPIC or COMMAND]",
		Short: "Tell about a topic in depth, or about a command",
		Long:  "Tells about a topic in depth, or about a command.\n\n" + strings.TrimSuffix(list, "\n"),
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			var names []string
			for _, t := range topics() {
				names = append(names, t.name)
			}
			return names, cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				if err := cmd.Root().Help(); err != nil {
					return err
				}
				_, err := fmt.Fprint(a.stdout, "\n", list)
				return err
			}
			for _, t := range topics() {
				if len(args) == 1 && t.name == args[0] {
					_, err := fmt.Fprint(a.stdout, onTerminal(t.text, lipgloss.NewRenderer(a.stdout).NewStyle().Bold(true)))
					return err
				}
			}
			about, rest, err := cmd.Root().Find(args)
			if err != nil || len(rest) > 0 {
				return fmt.Errorf("%q is neither a topic nor a command: see rollready help", strings.Join(args, " "))
			}
			about.InitDefaultHelpFlag()
			return about.Help()
		},
	}
}

var (
	pictureMark = regexp.MustCompile(`(?m)^!\[.*\n+`)
	linkMark    = regexp.MustCompile(`\[([^\]]*)\]\([^)]*\)`)
	headingMark = regexp.MustCompile(`(?m)^#+ (.*)$`)
	tableMark   = regexp.MustCompile(`(?m)^\|(?:---?\|)+\n`)
	cellMark    = regexp.MustCompile(`(?m)^\| (.*?) +\| (.*) \|$`)
)

// onTerminal is Markdown as it is read on a terminal: headings bold, pictures,
// links and marks left out, rows of tables in two columns.
func onTerminal(text string, bold lipgloss.Style) string {
	text = pictureMark.ReplaceAllString(text, "")
	text = linkMark.ReplaceAllString(text, "$1")
	text = tableMark.ReplaceAllString(text, "")
	text = strings.ReplaceAll(text, "**", "")
	text = strings.ReplaceAll(text, "`", "")
	text = headingMark.ReplaceAllStringFunc(text, func(line string) string { return bold.Render(headingMark.FindStringSubmatch(line)[1]) })
	return cellMark.ReplaceAllStringFunc(text, func(row string) string {
		of := cellMark.FindStringSubmatch(row)
		lines := strings.Split(ansi.Wordwrap(of[2], 58, ""), "\n")
		return strings.TrimRight(fmt.Sprintf("  %-18s %s", of[1], strings.Join(lines, "\n"+strings.Repeat(" ", 21))), " ")
	})
}
