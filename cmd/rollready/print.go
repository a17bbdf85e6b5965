package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"rollready/dsp/plain"
	"rollready/presets/whole"
	"rollready/tui/lines"
)

// jsonFlag lets a command print for scripts.
func (a *app) jsonFlag(cmd *cobra.Command, usage string) {
	cmd.Flags().BoolVar(&a.json, "json", false, usage)
}

// say prints a value for scripts where --json is given, else text for people.
func (a *app) say(value any, text func() error) error {
	if a.json {
		return a.printJSON(value)
	}
	return text()
}

// printJSON writes a value on one line, whole or not at all.
func (a *app) printJSON(value any) error {
	var line bytes.Buffer
	encoder := json.NewEncoder(&line)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(value); err != nil {
		return err
	}
	_, err := a.stdout.Write(plain.JSON(line.Bytes()))
	return err
}

// toStdout in place of a file's name is the terminal, for text of any kind.
// Sound goes to files only.
const toStdout = "-"

// pageFlag is where the page of a report goes.
type pageFlag struct{ html string }

func (f *pageFlag) add(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.html, "html", "", "write a page with pictures to `FILE`; - writes only it, to the terminal")
}

// check refuses a place where no page can be written, before the work, and one
// where something else would be lost.
func (f *pageFlag) check() error {
	if f.html == "" || f.html == toStdout {
		return nil
	}
	info, err := os.Stat(f.html)
	if err == nil && info.IsDir() {
		return fmt.Errorf("--html %s: that is a folder: name a file in it", f.html)
	}
	if is := strings.ToLower(filepath.Ext(f.html)); err == nil && is != ".html" && is != ".htm" {
		return fmt.Errorf("--html %s: that file is there and is no page: choose a name that ends in .html", f.html)
	}
	if err := whole.NoFolder(f.html); err != nil {
		return fmt.Errorf("--html %s: %w", f.html, err)
	}
	return nil
}

// put writes the page, if one is asked for, whole or not at all.
func (f *pageFlag) put(a *app, write func(io.Writer) error) error {
	if f.html == "" {
		return nil
	}
	var text bytes.Buffer
	if err := write(&text); err != nil {
		return err
	}
	if f.html == toStdout {
		_, err := a.stdout.Write(text.Bytes())
		return err
	}
	if err := whole.Write(f.html, text.Bytes(), 0o644); err != nil {
		return fmt.Errorf("--html %s: %w", f.html, err)
	}
	return nil
}

// table prints rows in aligned columns, the first one as their heading.
func (a *app) table(rows [][]string) error { return lines.Table(a.stdout, rows) }
