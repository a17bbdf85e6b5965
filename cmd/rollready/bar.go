package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"github.com/mattn/go-isatty"
)

const (
	barWidth = 30
	barEvery = 100 * time.Millisecond
	barBegin = 300 * time.Millisecond // what is done sooner needs no bar
)

// bar shows on a terminal how far a piece of work has come; elsewhere nothing.
type bar struct {
	w     io.Writer // nil: not a terminal
	what  string
	all   int64
	begun time.Time
	next  time.Time
	shown bool
}

func newBar(w io.Writer, what string, all int64) *bar {
	b := &bar{what: what, all: max(1, all), begun: time.Now()}
	if f, ok := w.(*os.File); ok && isatty.IsTerminal(f.Fd()) {
		b.w = w
	}
	b.next = b.begun.Add(barBegin)
	return b
}

func (b *bar) show(done int64) {
	now := time.Now()
	if b.w == nil || now.Before(b.next) {
		return
	}
	b.next, b.shown = now.Add(barEvery), true
	share := min(1, float64(done)/float64(b.all))
	full := int(share * barWidth)
	left := time.Duration(float64(now.Sub(b.begun)) * (1 - share) / max(share, 1e-9))
	fmt.Fprintf(b.w, "\r\x1b[K%s  %s%s %3.0f %%  %s left", b.what, strings.Repeat("█", full), strings.Repeat("·", barWidth-full),
		100*share, left.Round(time.Second))
}

// clear takes the bar away.
func (b *bar) clear() {
	if b.shown {
		fmt.Fprint(b.w, "\r\x1b[K")
	}
}
