package main

import (
	"bytes"
	"encoding/json"
	"io"
)

// printJSON writes a value on one line, whole or not at all.
func printJSON(w io.Writer, value any) error {
	var line bytes.Buffer
	encoder := json.NewEncoder(&line)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(value); err != nil {
		return err
	}
	_, err := w.Write(line.Bytes())
	return err
}
