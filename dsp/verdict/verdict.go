// Package verdict is what is said of a sound and of the way it takes: one set
// of codes that scripts read, one severity, one set of limits, and for people
// one plain sentence and one action each. Live advice, the guided check, the
// report of a file and the verdict on a take all say what they find in these
// words.
//
// # Finding
//
// A [Finding] is one thing judged: what it is ([Code]), what it means for
// rolling ([Severity]), where its action is done ([Place]), and which channels
// or track it is about. A finding about the running whole, such as a lost
// input, is a condition; it is the same type.
//
// # Channels
//
// A [Signal] knows how its channels are called: what is true of several of them
// makes one finding that names them all.
//
// # People
//
// Where each microphone is one [Person]'s, what is found of one names who it is,
// and the knobs that are theirs: [Finding.Of].
//
// # Edges
//
// Sentences round their figures. What rounds to nothing is either no finding or
// has words of its own.
package verdict

import (
	"cmp"
	"slices"
	"strings"
)

// Severity says what a finding means for rolling.
type Severity string

// The severities: do not roll; roll if you must; good to know; all is well.
const (
	Stop    Severity = "stop"
	Caution Severity = "caution"
	Info    Severity = "info"
	Good    Severity = "good"
)

// weights are the severities, the gravest first.
var weights = [...]Severity{Stop, Caution, Info, Good}

func (s Severity) rank() int { return slices.Index(weights[:], s) }

// Graver tells whether s weighs more than another.
func (s Severity) Graver(than Severity) bool { return s.rank() < than.rank() }

// Place says where a finding's action is done.
type Place string

// The places: by a setting of this program, at the audio interface, in the
// system's mixer or on the computer, at the camera, or on anything before the
// interface: microphone, cable, room.
const (
	Here      Place = "here"
	Interface Place = "interface"
	System    Place = "system"
	Camera    Place = "camera"
	OnSet     Place = "on set"
)

// Finding is one thing found. A plain value: nobody changes its Channels.
type Finding struct {
	Code     Code     `json:"code" toml:"code"`
	Severity Severity `json:"severity" toml:"severity"`
	Place    Place    `json:"place" toml:"place"`
	Channel  int      `json:"channel" toml:"channel"`                       // from 1; 0: the whole signal, or several
	Channels []int    `json:"channels,omitempty" toml:"channels,omitempty"` // where it is several
	Name     string   `json:"name,omitempty" toml:"name,omitempty"`         // of whom it is about, where that is known
	Track    Role     `json:"track,omitempty" toml:"track,omitempty"`       // of a recording whose tracks have roles
	Message  string   `json:"message" toml:"message"`
	Action   string   `json:"action" toml:"action"`
	ByDB     int      `json:"by_db,omitempty" toml:"by_db,omitempty"` // about how much to turn, up or (negative) down; 0: not known
	Line     string   `json:"-" toml:"-"`                             // as one line; "": the message
}

// Text is the finding as one line of at most 76 cells.
func (f Finding) Text() string {
	if f.Line == "" {
		return f.Message
	}
	return f.Line
}

// About tells whether a finding is about a channel, counted from 1, or about
// the whole signal.
func (f Finding) About(channel int) bool {
	if len(f.Channels) > 0 {
		return slices.Contains(f.Channels, channel)
	}
	return f.Channel == 0 || f.Channel == channel
}

// With gives the finding with another severity.
func (f Finding) With(s Severity) Finding {
	f.Severity = s
	return f
}

// In gives the finding as one about the tracks of a role. Its message names
// them where it names none, unless they are the processed ones: those that
// count.
func (f Finding) In(r Role) Finding {
	if f.Track == "" && r != "" {
		f.Track = r
		if r != Processed {
			f.Message = strings.TrimSuffix(f.Message, ".") + ", in the " + string(r) + " track."
		}
	}
	return f
}

// Same tells whether two findings say the same but for their figures.
func (f Finding) Same(as Finding) bool {
	return f.Code == as.Code && f.Severity == as.Severity && f.Place == as.Place && f.Track == as.Track &&
		f.Channel == as.Channel && slices.Equal(f.Channels, as.Channels)
}

// Verdict is the answer to "may I roll?".
type Verdict string

// The verdicts.
const (
	Ready    Verdict = "ready"
	Cautious Verdict = "caution"
	NotReady Verdict = "not-ready"
)

// Judge gives the verdict on a list of findings.
func Judge(findings []Finding) Verdict {
	verdict := Ready
	for _, f := range findings {
		switch f.Severity {
		case Stop:
			return NotReady
		case Caution:
			verdict = Cautious
		}
	}
	return verdict
}

// Sort orders findings by weight: severity, then code, then channel.
func Sort(findings []Finding) { slices.SortStableFunc(findings, Compare) }

// Compare orders by weight: negative where a weighs more.
func Compare(a, b Finding) int {
	return cmp.Or(cmp.Compare(a.Severity.rank(), b.Severity.rank()), cmp.Compare(a.Code.rank(), b.Code.rank()),
		cmp.Compare(a.Channel, b.Channel), slices.Compare(a.Channels, b.Channels))
}

// say makes a finding.
func say(c Code, s Severity, p Place, w Where, message, action, line string) Finding {
	f := Finding{Code: c, Severity: s, Place: p, Track: w.Role, Message: message, Action: action, Line: line}
	if len(w.Channels) == 1 {
		f.Channel = w.Channels[0]
	} else {
		f.Channels = w.Channels
	}
	return f
}

// turn notes about how much is to be turned.
func (f Finding) turn(db float64) Finding {
	f.ByDB = rounded(db)
	return f
}

// Words is the answer to "may I roll?".
func (v Verdict) Words() string {
	switch v {
	case Ready:
		return "you may roll"
	case Cautious:
		return "you may roll, but see first to what follows"
	default:
		return "do not roll yet"
	}
}
