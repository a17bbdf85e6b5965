package guided

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"rollready/dsp/preroll"
	"rollready/dsp/verdict"
)

// ParseSpan reads START:END in seconds.
func ParseSpan(text string) (Span, error) {
	from, to, ok := strings.Cut(text, ":")
	start, errStart := strconv.ParseFloat(from, 64)
	end, errEnd := strconv.ParseFloat(to, 64)
	if !ok || errStart != nil || errEnd != nil || !(start >= 0 && end > start && end < 1e6) {
		return Span{}, fmt.Errorf("%q is no stretch: write START:END in seconds, like 5:20", text)
	}
	return Span{Start: start, End: end}, nil
}

// ParseSpans reads where it is quiet, and where the voices are, by commas; none
// where nothing is given. An error begins with the name of what is wrong.
func ParseSpans(roomTone, voice string) (room Span, voices []Span, err error) {
	switch {
	case roomTone == "" && voice == "":
		return room, nil, nil
	case roomTone == "" || voice == "":
		return room, nil, errors.New("room and --voice belong together: give both, or neither")
	}
	if room, err = ParseSpan(roomTone); err != nil {
		return room, nil, fmt.Errorf("room: %w", err)
	}
	for _, text := range strings.Split(voice, ",") {
		one, err := ParseSpan(text)
		if err != nil {
			return room, nil, fmt.Errorf("voice: %w", err)
		}
		voices = append(voices, one)
	}
	return room, voices, nil
}

// Asks is what is to be done now, whose turn it is where people speak in turn,
// and why again.
func (p Progress) Asks(turns []verdict.Person) string {
	why := map[preroll.Trouble]string{preroll.Talking: "That was not quiet. ", preroll.NobodySpoke: "Nobody spoke. "}[p.Trouble]
	if p.Note != NoNote {
		why = string(p.Note) + " "
	}
	step, steps, who := 1, 1+max(1, len(turns)), ""
	if p.Step == preroll.Speak {
		step = 2
	}
	for i, t := range turns {
		if t.Strip == p.Strip {
			step, who = 2+i, t.Called()+", "
		}
	}
	ask := "stay quiet"
	if p.Step == preroll.Speak {
		ask = who + "speak as you will speak"
	}
	return fmt.Sprintf("%s%d of %d: %s", why, step, steps, ask)
}
