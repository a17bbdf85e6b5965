package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"rollready/capture/survey/page"
)

// checkPage refuses a place where no page can be written, before the work.
func (f *reportFlags) checkPage() error {
	if f.html == "" || f.html == toStdout {
		return nil
	}
	if info, err := os.Stat(f.html); err == nil && info.IsDir() {
		return fmt.Errorf("--html %s: that is a folder: name a file in it", f.html)
	}
	if info, err := os.Stat(filepath.Dir(f.html)); err != nil || !info.IsDir() {
		return fmt.Errorf("--html %s: there is no folder %s: make it first", f.html, filepath.Dir(f.html))
	}
	return nil
}

// writePage writes the page, if one is asked for, whole or not at all.
func (f *reportFlags) writePage(a *app, r page.Report) error {
	if f.html == "" {
		return nil
	}
	r.Made = time.Now()
	var text bytes.Buffer
	if err := page.Write(&text, r); err != nil {
		return err
	}
	if err := a.put(f.html, text.Bytes()); err != nil {
		return fmt.Errorf("--html %s: %w", f.html, err)
	}
	return nil
}
