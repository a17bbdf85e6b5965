package main

import (
	"bytes"
	"encoding/json"
	"io"

	"rollready/dsp/plain"
)

// printJSON writes a value on one line, whole or not at all.
func printJSON(w io.Writer, value any) error {
	var line bytes.Buffer
	encoder := json.NewEncoder(&line)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(value); err != nil {
		return err
	}
	_, err := w.Write(plain.JSON(line.Bytes()))
	return err
}
