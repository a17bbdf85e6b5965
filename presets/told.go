package presets

import (
	"fmt"

	"rollready/dsp/figure"
	"rollready/dsp/lineup"
	"rollready/dsp/plain"
)

// JSON is a preset as scripts read it.
func (p Preset) JSON() any {
	c := p.Chain()
	j := struct {
		Name     string         `json:"name"`
		Note     string         `json:"note"`
		Gain     figure.Figure  `json:"gain_db"`
		HighPass string         `json:"high_pass"`
		LowPass  string         `json:"low_pass"`
		Limit    *figure.Figure `json:"limit_dbtp"`
	}{p.Name, p.Note, figure.Figure(c.GainDB), c.HighPass.String(), c.LowPass.String(), nil}
	if c.Limit.On {
		ceiling := figure.Figure(c.Limit.CeilingDBTP)
		j.Limit = &ceiling
	}
	return j
}

// Text is a preset in lines.
func (p Preset) Text() string {
	return plain.Text(p.Name) + "\n" + line("", p.Note) + "  " + p.Strips.Words(0) + "\n"
}

// line is a line of a card; none where there is nothing to say.
func line(mark, text string) string {
	if text == "" {
		return ""
	}
	return "  " + mark + plain.Text(text) + "\n"
}

// JSON is a camera's profile as scripts read it.
func (c Camera) JSON() any {
	j := struct {
		Name        string         `json:"name"`
		Offset      figure.Figure  `json:"offset_db"`
		Clip        figure.Figure  `json:"clip_dbfs"`
		TargetLow   figure.Figure  `json:"target_low_dbfs"`
		TargetHigh  figure.Figure  `json:"target_high_dbfs"`
		LinedUp     *string        `json:"lined_up"`
		LinedUpWith string         `json:"lined_up_with"`
		LinedUpKey  string         `json:"lined_up_with_id"`
		Volume      figure.Figure  `json:"lined_up_volume_db"`
		Quietest    figure.Figure  `json:"lined_up_quietest_channel_db"`
		Preset      string         `json:"lined_up_preset"`
		MicLevel    string         `json:"mic_level"`
		Cable       string         `json:"cable"`
		Reminders   []string       `json:"reminders"`
		LineUp      *lineup.Result `json:"line_up"`
	}{Name: c.Name, Offset: figure.Figure(c.Scale.OffsetDB), Clip: figure.Figure(c.Scale.ClipDBFS),
		TargetLow: figure.Figure(c.Scale.TargetLowDBFS), TargetHigh: figure.Figure(c.Scale.TargetHighDBFS),
		LinedUpWith: c.LinedUpWith.Name, LinedUpKey: c.LinedUpWith.Key, Preset: c.LinedUpPreset, MicLevel: c.MicLevel, Cable: c.Cable, Reminders: append([]string{}, c.Reminders...), LineUp: c.LineUp}
	j.Volume, j.Quietest = c.LinedUpVolume.Figures()
	if !c.LinedUp.IsZero() {
		at := c.LinedUp.Format("2006-01-02T15:04:05Z07:00")
		j.LinedUp = &at
	}
	return j
}

// Text is a camera's profile in lines.
func (c Camera) Text() string {
	text := plain.Text(c.Name) + "\n" + line("", c.Scale.Words())
	if c.LinedUp.IsZero() {
		text += line("", "never lined up")
	} else {
		with := ""
		if c.LinedUpWith.Name != "" {
			with = ", " + c.LinedUpWith.Words()
		}
		text += line("lined up ", c.linedUp()+with+", volume "+c.LinedUpVolume.String()) + line("preset then: ", c.LinedUpPreset)
	}
	text += line("mic level: ", c.MicLevel) + line("cable: ", c.Cable)
	for _, r := range c.Reminders {
		text += "  - " + plain.Text(r) + "\n"
	}
	if c.LineUp != nil {
		text += "\n" + c.LineUp.Text()
	}
	return text
}

// linedUp says when.
func (c Camera) linedUp() string {
	if c.LinedUp.IsZero() {
		return "never"
	}
	return c.LinedUp.Local().Format("2006-01-02 15:04")
}

// Beside sets two cameras side by side, in rows of a table: what, of the one,
// of the other, how they differ. The first row is the heading.
func (c Camera) Beside(other Camera) [][]string {
	rows := [][]string{{"", c.Name, other.Name, ""}}
	right := other.figures()
	for i, w := range c.figures() {
		mark := ""
		if w.Value != right[i].Value {
			mark = "differs"
		}
		rows = append(rows, []string{w.Name, w.Value, right[i].Value, mark})
	}
	if c.LineUp == nil || other.LineUp == nil {
		return rows
	}
	levels := map[float64]float64{}
	for _, p := range other.LineUp.Response {
		levels[p.Hz] = p.LevelDB
	}
	for _, p := range c.LineUp.Response {
		if level, ok := levels[p.Hz]; ok {
			rows = append(rows, []string{fmt.Sprintf("%g Hz", p.Hz), decibels(p.LevelDB), decibels(level), decibels(level - p.LevelDB)})
		}
	}
	return rows
}

func decibels(db float64) string { return figure.Sprintf("%+.1f dB", db) }

// figures are the same ones for every camera, whatever is known of it.
func (c Camera) figures() []lineup.Word {
	list := []lineup.Word{{Name: "scale", Value: c.Scale.Words()}, {Name: "lined up", Value: c.linedUp()}, {Name: "with", Value: c.LinedUpWith.Words()},
		{Name: "volume", Value: c.LinedUpVolume.String()}, {Name: "mic level", Value: c.MicLevel}, {Name: "cable", Value: c.Cable}}
	if c.LineUp != nil {
		return append(list, c.LineUp.Words()...)
	}
	for _, w := range (lineup.Result{}).Words() {
		list = append(list, lineup.Word{Name: w.Name, Value: "not measured"})
	}
	return list
}
