package gainplan

import "rollready/dsp/figure"

// JSON is the plan as scripts read it.
func (p Plan) JSON() any {
	landings := p.Land()
	j := struct {
		Output   Level         `json:"output_dbv"`
		Pad      figure.Figure `json:"pad_db"`
		Settings []Landing     `json:"settings"`
		Best     *string       `json:"best"`
		Choice   string        `json:"choice"`
		Cautions []string      `json:"cautions"`
	}{Output: p.Output, Pad: figure.Figure(p.PadDB), Settings: landings, Choice: Choice(landings), Cautions: Cautions()}
	if best := Best(landings); best >= 0 {
		j.Best = &landings[best].Name
	}
	return j
}

// Rows are the plan as a table, the first row its heading.
func (p Plan) Rows() [][]string {
	rows := [][]string{{"SETTING", "FULL AT", "−20 dBFS AT", "CHANGE PAD BY", "NOISE THEN"}}
	landings := p.Land()
	best := Best(landings)
	for i, l := range landings {
		name, pad := "  "+l.Name, "none"
		if i == best {
			name = "→ " + l.Name
		}
		if l.PadDB != 0 {
			pad = orUnknown(l.PadDB, "%+.0f dB")
		}
		rows = append(rows, []string{name, orUnknown(figure.Figure(l.FullScale.DBU()), "%+.1f dBu"),
			orUnknown(l.AlignsAt, "%.1f dBFS"), pad, orUnknown(l.LossDB, "%.1f dB")})
	}
	return rows
}

// Text says what to do, in paragraphs: at each setting, then, where there is
// one, which to choose.
func (p Plan) Text() (settings []string, choice string) {
	landings := p.Land()
	for _, l := range landings {
		settings = append(settings, l.Name+": "+l.Advice)
	}
	return settings, Choice(landings)
}

func orUnknown(x figure.Figure, format string) string {
	if !x.Known() {
		return "unknown"
	}
	return figure.Sprintf(format, x)
}
