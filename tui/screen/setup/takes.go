package setup

import (
	"cmp"
	"errors"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	tea "charm.land/bubbletea/v2"

	"rollready/capture/take"
	"rollready/presets"
	"rollready/tui/desk"
	"rollready/tui/format"
	"rollready/tui/widget"
)

// recordingMsg is the recorder's answer to other settings.
type recordingMsg struct {
	set, was presets.Recording
	err      error
}

// takeSettings lists the rows about takes.
func (s *setup) takeSettings() []setting {
	d := s.desk
	set := func(change func(r *presets.Recording, n int)) func(int) tea.Cmd {
		return func(n int) tea.Cmd {
			r := d.Settings.Recording
			change(&r, n)
			return s.setRecording(r)
		}
	}
	return []setting{
		{"Takes folder", func() string { return format.ShortPath(d.Rig.Recorder().Folder()) },
			"Where takes are recorded. It is made if it is not there.", nil, s.askFolder},
		{takeNames, func() string { return patternOf(d) }, "", nil, s.askNames},
		{"Take format", func() string { return formatWords(d.Settings.Recording.Encoding) },
			"24-bit suits every take; float can't overload after the converter; 16-bit is the smallest.",
			set(func(r *presets.Recording, n int) { r.Encoding = widget.Turn(presets.Encodings[:], r.Encoding, n) }), nil},
		{"Raw input tracks", func() string { return yesNo(!d.Settings.Recording.NoInput) },
			"Record what the microphone gave, too, before gain and filters.",
			set(func(r *presets.Recording, _ int) { r.NoInput = !r.NoInput }), nil},
		{"Safety track", func() string { return yesNo(d.Settings.Recording.Safety) },
			"Record the processed sound once more, 10 dB lower, for shouts.",
			set(func(r *presets.Recording, _ int) { r.Safety = !r.Safety }), nil},
		{"Pre-record", func() string { return format.FigurePlain(d.Settings.Recording.PreRecordS) + " s" },
			"How much of the sound before the key goes into the take.",
			set(func(r *presets.Recording, n int) { r.PreRecordS = widget.Step(preRecords[:], r.PreRecordS, n) }), nil},
		{"Countdown", func() string { return orNever(float64(d.Settings.CountdownS), "s") },
			"How long the roll key waits before it rolls, to walk before the camera. The far view counts; ctrl-r calls it off.",
			func(n int) tea.Cmd {
				d.Change(func(s *presets.Settings) { s.CountdownS = widget.Turn(countdowns[:], s.CountdownS, n) })
				return nil
			}, nil},
		{"Countdown slate", func() string { return yesNo(d.Settings.CountdownTone) },
			"The slate tone sounds where a countdown ends, to file and camera. Ticks of the countdown are heard in the headphones alone.",
			func(int) tea.Cmd {
				d.Change(func(s *presets.Settings) { s.CountdownTone = !s.CountdownTone })
				return nil
			}, nil},
		{"Stop by silence", func() string { return orNever(float64(d.Settings.StopSilenceS), "s") },
			"How long after the last word a take in which somebody spoke ends by itself. That pause stays in the take.",
			func(n int) tea.Cmd {
				d.Change(func(s *presets.Settings) { s.StopSilenceS = widget.Turn(stopSilences[:], s.StopSilenceS, n) })
				return nil
			}, nil},
		{"Silence alarm", func() string { return orNever(d.Settings.Recording.SilenceS, "s") },
			"After how long without any sound a take that rolls raises the alarm: a microphone switched off, a cable pulled.",
			set(func(r *presets.Recording, n int) { r.SilenceS = widget.Step(silences[:], r.SilenceS, n) }), nil},
		{"Disk alarm", func() string { return orNever(d.Settings.Recording.DiskMin, "min") },
			"With room for how many more minutes on the disk the alarm is raised.",
			set(func(r *presets.Recording, n int) { r.DiskMin = widget.Step(diskLeft[:], r.DiskMin, n) }), nil},
	}
}

func orNever(count float64, unit string) string {
	if count == 0 {
		return "never"
	}
	return format.FigurePlain(count) + " " + unit
}

func yesNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}

func formatWords(encoding string) string {
	if _, err := strconv.Atoi(encoding); err == nil {
		return encoding + "-bit"
	}
	return "32-bit " + encoding
}

// countdowns are the seconds before a take that can be chosen.
var countdowns = [...]int{0, 3, 5, 10, 15, 20, 30}

// stopSilences are the seconds after the last word that can be chosen.
var stopSilences = [...]int{0, presets.MinStopSilenceS, 10, 20, 30, presets.MaxStopSilenceS}

// What the seconds before the key, those of silence and the minutes left on
// the disk step through.
var (
	preRecords = [...]float64{0, 2, 5, 10, 20, 30, presets.MaxPreRecordS}
	silences   = [...]float64{0, 5, 10, 20, 30, 60, 120}
	diskLeft   = [...]float64{0, 5, 10, 20, 30, 60}
)

// setRecording asks the recorder to record otherwise; the settings follow
// when it does.
func (s *setup) setRecording(r presets.Recording) tea.Cmd {
	if s.desk.Rec.Rolling {
		s.desk.Say("A take is rolling: stop it first (ctrl-r)")
		return nil
	}
	was := s.desk.Settings.Recording
	return func() tea.Msg { return recordingMsg{r, was, s.desk.Rig.SetRecording(r)} }
}

func (s *setup) recorded(m recordingMsg) tea.Cmd {
	d := s.desk
	if m.err != nil {
		d.Fail(m.err)
		return nil
	}
	d.Fresh = true
	if m.set.Names != m.was.Names {
		d.Say("Takes are named like " + exampleName(d, patternOf(d)))
	}
	if m.set.Dir != m.was.Dir {
		return d.Mend()
	}
	return nil
}

func (s *setup) askFolder() tea.Cmd {
	d := s.desk
	return d.Ask("Folder for takes:", d.Rig.Recorder().Folder(), func(text string) (tea.Cmd, error) {
		dir, err := fullPath(text)
		if err != nil {
			return nil, err
		}
		r := d.Settings.Recording
		r.Dir = dir
		return s.setRecording(r), nil
	})
}

const takeNames = "Take names"

// takeNames is the pattern of the files' names.
func patternOf(d *desk.Desk) string { return cmp.Or(d.Settings.Recording.Names, take.DefaultPattern) }

// takeName is an example of the names that a pattern makes.
func exampleName(d *desk.Desk, pattern string) string {
	return take.FileName(pattern, d.Settings.Recording.Scene, 3, false, d.At)
}

func takeNamesHelp(d *desk.Desk) string {
	return "How files are named, of {scene}, {take}, {date} and {time}. Take 3 would be " + exampleName(d, patternOf(d))
}

func (s *setup) askNames() tea.Cmd {
	d := s.desk
	return d.Ask("Names of takes:", patternOf(d), func(text string) (tea.Cmd, error) {
		if err := take.CheckPattern(text); err != nil {
			return nil, err
		}
		r := d.Settings.Recording
		r.Names = text
		if text == take.DefaultPattern {
			r.Names = ""
		}
		return s.setRecording(r), nil
	})
}

// fullPath reads a folder as typed; ~ is the user's own.
func fullPath(text string) (string, error) {
	if text == "" {
		return "", errors.New("type a folder")
	}
	if rest, ok := strings.CutPrefix(text, "~"); ok && (rest == "" || os.IsPathSeparator(rest[0])) {
		home, err := os.UserHomeDir()
		if err != nil {
			return "", err
		}
		text = filepath.Join(home, rest)
	}
	return filepath.Abs(text)
}
