package main

import (
	"fmt"
	"io"
	"strings"

	"rollready/capture/rig"
	"rollready/dsp/camera"
	"rollready/dsp/db"
	"rollready/dsp/figure"
	linetone "rollready/dsp/lineup/tone"
)

// stepper carries out what is typed while the tone sounds.
type stepper struct {
	settings linetone.Settings
	found    *rig.Readings
	out      io.Writer
	line     rig.Line
}

// take carries out the lines that have come; true: stop.
func (s *stepper) take(lines <-chan string) (stop bool) {
	for {
		select {
		case line, open := <-lines:
			if !open {
				return false
			}
			if s.do(strings.TrimSpace(line)) {
				return true
			}
		default:
			return false
		}
	}
}

func (s *stepper) do(line string) (stop bool) {
	word, rest, _ := strings.Cut(line, " ")
	switch {
	case line == "":
	case word == "stop":
		return true
	case word == "clips":
		if now, ok := s.risen(); ok {
			s.found.ClipMark(s.settings.LevelDBFS)
			s.found.Volume = now.Volume.Volume
			figure.Fprintf(s.out, "clips at %g dBFS output\n", s.settings.LevelDBFS)
		}
	case word == "reads":
		s.reads(rest)
	case line == "+" || line == "-":
		s.step(line + "1")
	case line[0] == '+' || line[0] == '-':
		s.step(line)
	default:
		fmt.Fprintf(s.out, "%q is not understood: +, -, +N, -N, reads DB, clips or stop\n", line)
	}
	return false
}

func (s *stepper) reads(text string) {
	x, err := camera.ParseLevel(text)
	if err != nil {
		fmt.Fprintln(s.out, err)
		return
	}
	now, ok := s.risen()
	if !ok {
		return
	}
	level := s.settings.LevelDBFS
	if err := s.found.Meter(level, x); err != nil {
		fmt.Fprintln(s.out, err)
		return
	}
	s.found.Volume = now.Volume.Volume
	figure.Fprintf(s.out, "camera reads %g dBFS at %g dBFS output: offset %+.1f dB\n", x, level, x-level)
}

// risen tells whether the tone stands at its level, and says what to do if not.
func (s *stepper) risen() (rig.LineState, bool) {
	now := s.line.State()
	err := now.Risen(s.settings)
	if err != nil {
		fmt.Fprintln(s.out, err)
	}
	return now, err == nil
}

func (s *stepper) step(text string) {
	x, err := db.Parse(text)
	if err == nil {
		next := s.settings
		next.LevelDBFS += x
		if err = next.Check(); err == nil {
			s.settings = next
			s.line.Set(next)
			figure.Fprintf(s.out, "%g dBFS\n", next.LevelDBFS)
			return
		}
	}
	fmt.Fprintln(s.out, err)
}
