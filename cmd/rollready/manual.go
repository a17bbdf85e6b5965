package main

import (
	"fmt"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"time"

	"github.com/cpuguy83/go-md2man/v2/md2man"
	"github.com/spf13/cobra"
	"github.com/spf13/cobra/doc"

	"rollready/tui/format"
)

// newManual writes what a package for a system brings beside the program. It is
// for those who make one, so help does not list it.
func newManual(*app) *cobra.Command {
	return &cobra.Command{
		Use:    "manual DIR",
		Short:  "Write man pages and completions of shells",
		Hidden: true,
		Long: `Writes man pages of commands (section 1) and topics (section 7) into DIR/man, and
completions for bash, zsh, fish and PowerShell into DIR/completions.`,
		Args: exactly(1),
		RunE: func(cmd *cobra.Command, args []string) error { return writeManual(cmd.Root(), args[0]) },
	}
}

func writeManual(root *cobra.Command, dir string) error {
	man1, man7, shells := filepath.Join(dir, "man", "man1"), filepath.Join(dir, "man", "man7"), filepath.Join(dir, "completions")
	for _, d := range []string{man1, man7, shells} {
		if err := os.MkdirAll(d, 0o755); err != nil {
			return err
		}
	}
	root.DisableAutoGenTag = true
	at := commitTime()
	if err := doc.GenManTree(root, &doc.GenManHeader{Title: "ROLLREADY", Section: "1", Source: "rollready", Manual: "rollready", Date: &at}, man1); err != nil {
		return err
	}
	for _, t := range topics() {
		name := "rollready-" + t.name
		page := fmt.Sprintf("%% \"%s\" \"7\" \"%s\" \"rollready\" \"rollready\"\n\n# NAME\n%s - %s\n\n%s", strings.ToUpper(name), at.Format("Jan 2006"), name, t.title,
			format.Unlinked(t.text))
		if err := os.WriteFile(filepath.Join(man7, name+".7"), md2man.Render([]byte(page)), 0o644); err != nil {
			return err
		}
	}
	for file, write := range map[string]func(string) error{
		"rollready.bash": func(to string) error { return root.GenBashCompletionFileV2(to, true) },
		"_rollready":     root.GenZshCompletionFile,
		"rollready.fish": func(to string) error { return root.GenFishCompletionFile(to, true) },
		"rollready.ps1":  root.GenPowerShellCompletionFileWithDesc,
	} {
		if err := write(filepath.Join(shells, file)); err != nil {
			return err
		}
	}
	return nil
}

// commitTime is when the source was committed, so that the same source gives
// the same pages.
func commitTime() time.Time {
	info, _ := debug.ReadBuildInfo()
	if info != nil {
		for _, s := range info.Settings {
			if at, err := time.Parse(time.RFC3339, s.Value); s.Key == "vcs.time" && err == nil {
				return at
			}
		}
	}
	return time.Unix(0, 0).UTC()
}
