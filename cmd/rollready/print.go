package main

import (
	"bytes"
	"encoding/json"

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

// put writes to a file, whole or not at all, or to the terminal.
func (a *app) put(path string, raw []byte) error {
	switch path {
	case "":
		return nil
	case toStdout:
		_, err := a.stdout.Write(raw)
		return err
	}
	return whole.Write(path, raw, 0o644)
}

// table prints rows in aligned columns, the first one as their heading.
func (a *app) table(rows [][]string) error { return lines.Table(a.stdout, rows) }
