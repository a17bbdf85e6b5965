package lines

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

// Stepper carries out what is typed while the tone sounds.
type Stepper struct {
	Settings linetone.Settings // of the tone
	Found    *rig.ReadOff      // what was read off the camera
	Out      io.Writer
	Line     rig.Line
}

// Take carries out the lines that have come; true: stop.
func (s *Stepper) Take(lines <-chan string) (stop bool) {
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

func (s *Stepper) do(line string) (stop bool) {
	word, rest, _ := strings.Cut(line, " ")
	switch {
	case line == "":
	case word == "stop":
		return true
	case word == "clips":
		if now, ok := s.risen(); ok {
			s.Found.ClipMark(s.Settings.LevelDBFS)
			s.Found.Volume = now.Volume.Volume
			figure.Fprintf(s.Out, "clips at %g dBFS output\n", s.Settings.LevelDBFS)
		}
	case word == "reads":
		s.reads(rest)
	case line == "+" || line == "-":
		s.step(line + "1")
	case line[0] == '+' || line[0] == '-':
		s.step(line)
	default:
		fmt.Fprintf(s.Out, "%q is not understood: +, -, +N, -N, reads DB, clips or stop\n", line)
	}
	return false
}

func (s *Stepper) reads(text string) {
	x, err := camera.ParseLevel(text)
	if err != nil {
		fmt.Fprintln(s.Out, err)
		return
	}
	now, ok := s.risen()
	if !ok {
		return
	}
	level := s.Settings.LevelDBFS
	if err := s.Found.Meter(level, x); err != nil {
		fmt.Fprintln(s.Out, err)
		return
	}
	s.Found.Volume = now.Volume.Volume
	figure.Fprintf(s.Out, "camera reads %g dBFS at %g dBFS output: offset %+.1f dB\n", x, level, x-level)
}

// risen tells whether the tone stands at its level, and says what to do if not.
func (s *Stepper) risen() (rig.LineState, bool) {
	now := s.Line.State()
	err := now.Risen(s.Settings)
	if err != nil {
		fmt.Fprintln(s.Out, err)
	}
	return now, err == nil
}

func (s *Stepper) step(text string) {
	x, err := db.Parse(text)
	if err == nil {
		next := s.Settings
		next.LevelDBFS += x
		if err = next.Check(); err == nil {
			s.Settings = next
			s.Line.Set(next)
			figure.Fprintf(s.Out, "%g dBFS\n", next.LevelDBFS)
			return
		}
	}
	fmt.Fprintln(s.Out, err)
}
