package lineup

import (
	"errors"
	"strings"

	tea "charm.land/bubbletea/v2"

	"rollready/capture/rig"
	"rollready/dsp/gainplan"
	"rollready/dsp/lineup/tone"
	"rollready/tui/format"
	"rollready/tui/view"
	"rollready/tui/widget"
)

// lineRow is one row of the list: a heading, or what can be set or done.
type lineRow struct {
	name   string
	value  func() string // nil: a heading
	change func(n int) tea.Cmd
	enter  func() tea.Cmd
}

func (r lineRow) heading() bool { return r.value == nil }

// Places of some rows in the list.
const (
	rowTone      = 4
	rowByClip    = 9
	rowGainPlan  = 12
	rowPlanFirst = 13
)

// lineRows lists the rows in their order.
func (l *lineUp) lineRows() []lineRow {
	set := func(change func(n int)) func(int) tea.Cmd {
		return func(n int) tea.Cmd { change(n); return nil }
	}
	return []lineRow{
		{name: "By tone"},
		{"Output", l.outputWords, set(l.nextOutput), nil},
		{"Volume", func() string { return view.VolumeWords(l.desk.Rig.LineVolume()) }, nil, l.volumeHelp},
		{"Mic level", l.micLevelWords, nil, l.askMicLevel},
		{"Tone", l.toneWords, nil, l.toggle},
		{"Level", func() string { return format.Figure(l.now().Tone.LevelDBFS) + " dBFS" }, set(l.step), l.askLevel},
		{"Frequency", l.toneKindWords, set(l.nextHertz), l.askHertz},
		{"Meter reads", l.offsetWords, nil, l.askReading},
		{"Clip mark", func() string { return "at " + format.Figure(l.desk.Camera.Scale.ClipDBFS) + " dBFS" }, nil, l.clipMark},
		{name: "By clip"},
		{"Sequence", l.sequenceWords, nil, l.send},
		{"Read clip", l.clipWords, nil, l.askClip},
		{name: "Gain plan"},
		{"Our output", func() string { return levelWords(l.plan.Output) }, nil, l.askPlanOutput},
		{"Pad", func() string { return format.FigurePlain(l.plan.PadDB) + " dB" }, nil, l.askPad},
		{"Mic settings", l.settingsWords, nil, l.askSettings},
	}
}

func (l *lineUp) outputWords() string {
	if len(l.now().Outputs) == 0 {
		return "none found (r)"
	}
	return l.now().Chosen.Called()
}

func (l *lineUp) micLevelWords() string {
	if m := l.desk.Camera.MicLevel; m != "" {
		return m
	}
	return "not noted yet"
}

func (l *lineUp) toneWords() string {
	switch s := l.now(); {
	case s.Sounds == rig.ToneSounds && s.LevelDBFS < l.now().Tone.LevelDBFS:
		return "RISING " + format.Figure(s.LevelDBFS)
	case s.Sounds == rig.ToneSounds:
		return "ON"
	}
	return "off"
}

func (l *lineUp) toneKindWords() string {
	if l.now().Tone.Ident {
		return format.Hertz(l.now().Tone.Hz) + ", left broken"
	}
	return format.Hertz(l.now().Tone.Hz)
}

func (l *lineUp) offsetWords() string {
	if l.desk.Camera.LinedUp.IsZero() {
		return "not read yet"
	}
	return "offset " + format.Signed(l.desk.Camera.Scale.OffsetDB) + " dB"
}

func (l *lineUp) sequenceWords() string {
	switch s := l.now(); {
	case s.Sounds == rig.SequenceSounds:
		return "SENDING"
	case s.Sent:
		return "sent"
	}
	return "not sent"
}

func (l *lineUp) clipWords() string {
	if l.desk.Camera.LineUp == nil {
		return "none yet"
	}
	return "read; v shows it"
}

// levelWords is a level in the unit that reads best.
func levelWords(v gainplan.Level) string {
	if !v.Known() {
		return "unknown"
	}
	return format.Signed(v.DBU()) + " dBu"
}

func (l *lineUp) settingsWords() string {
	var names []string
	for _, s := range l.plan.Settings {
		names = append(names, s.Name)
	}
	if names == nil {
		return "none yet"
	}
	return strings.Join(names, ", ")
}

func (l *lineUp) nextOutput(n int) {
	l.desk.Fail(l.desk.Rig.ChooseOutput(n))
	l.desk.Refresh()
}

// hertzSteps are the tones to go through.
var hertzSteps = [...]float64{100, 400, 1000, 3150, 10000}

func (l *lineUp) nextHertz(n int) {
	s := l.now().Tone
	s.Hz = widget.Turn(hertzSteps[:], s.Hz, n)
	l.retune(s)
}

func (l *lineUp) ident() {
	s := l.now().Tone
	s.Ident = !s.Ident
	l.retune(s)
}

func (l *lineUp) step(n int) { l.level(l.now().Tone.LevelDBFS + float64(n)) }

func (l *lineUp) level(dbfs float64) {
	s := l.now().Tone
	s.LevelDBFS = dbfs
	l.retune(s)
}

// retune changes the tone, also while it sounds.
func (l *lineUp) retune(s tone.Settings) {
	l.desk.Rig.SetTone(s)
	l.desk.Refresh()
}

func (l *lineUp) askLevel() tea.Cmd {
	return l.askTone("Level of the tone in dBFS, −20 or −18 by custom:", format.Figure(l.now().Tone.LevelDBFS), func(s *tone.Settings, v float64) { s.LevelDBFS = v })
}

func (l *lineUp) askHertz() tea.Cmd {
	return l.askTone("Frequency of the tone in Hz:", format.FigurePlain(l.now().Tone.Hz), func(s *tone.Settings, v float64) { s.Hz = v })
}

func (l *lineUp) askTone(label, text string, set func(*tone.Settings, float64)) tea.Cmd {
	return l.desk.Ask(label, text, func(text string) (tea.Cmd, error) {
		v, ok := format.ParseNumber(text)
		s := l.now().Tone
		set(&s, v)
		if !ok {
			return nil, errors.New("type a figure")
		}
		if err := s.Check(); err != nil {
			return nil, err
		}
		l.retune(s)
		return nil, nil
	})
}
