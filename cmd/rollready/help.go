package main

import (
	"embed"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/spf13/cobra"

	"rollready/tui/format"
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
					_, err := fmt.Fprint(a.stdout, format.Markdown(t.text, lipgloss.NewRenderer(a.stdout).NewStyle().Bold(true).Render))
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
