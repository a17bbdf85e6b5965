package main

import (
	"cmp"
	"fmt"
	"runtime/debug"

	"github.com/spf13/cobra"
)

// versionJSON is what version --json prints.
type versionJSON struct {
	Version   string        `json:"version"`
	Commit    string        `json:"commit"`  // "" where it was built outside a repository
	Changed   bool          `json:"changed"` // the files were not those of the commit
	Go        string        `json:"go"`
	System    string        `json:"system"`
	Libraries []libraryJSON `json:"libraries"`
}

type libraryJSON struct {
	Path    string `json:"path"`
	Version string `json:"version"`
}

func newVersion(a *app) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "version",
		Short: "Tell version, commit and libraries",
		Long: `Tells which version of rollready this is, from which commit it was built, and the
versions of the libraries in it: put it into a report of a fault.`,
		Args: noArgs,
		RunE: func(*cobra.Command, []string) error {
			info, ok := debug.ReadBuildInfo()
			if !ok {
				return fmt.Errorf("this program does not know how it was built: build it with Go's modules")
			}
			v := versionOf(info)
			return a.say(v, func() error { return v.print(a) })
		},
	}
	a.jsonFlag(cmd, "one JSON object")
	return cmd
}

// versionOf reads what Go put into the program when it was built. The version
// is the commit's tag where it has one.
func versionOf(info *debug.BuildInfo) versionJSON {
	v := versionJSON{Version: info.Main.Version, Go: info.GoVersion, Libraries: []libraryJSON{}}
	set := map[string]string{}
	for _, s := range info.Settings {
		set[s.Key] = s.Value
	}
	v.Commit, v.Changed = set["vcs.revision"], set["vcs.modified"] == "true"
	v.System = set["GOOS"] + "/" + set["GOARCH"]
	for _, d := range info.Deps {
		d = cmp.Or(d.Replace, d)
		v.Libraries = append(v.Libraries, libraryJSON{d.Path, d.Version})
	}
	return v
}

func (v versionJSON) print(a *app) error {
	commit := cmp.Or(v.Commit, "unknown")
	if v.Changed {
		commit += ", changed"
	}
	fmt.Fprintf(a.stdout, "rollready %s\ncommit %s\n%s, %s\n\n", cmp.Or(v.Version, "of no version"), commit, v.Go, v.System)
	rows := [][]string{{"LIBRARY", "VERSION"}}
	for _, l := range v.Libraries {
		rows = append(rows, []string{l.Path, l.Version})
	}
	return a.table(rows)
}
