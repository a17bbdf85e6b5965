package verdict

import (
	"cmp"
	"encoding/json"
	"math"
	"regexp"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"rollready/dsp/camera"
)

// sweep is every figure a sentence may be given, the edges of rounding among them.
func sweep(from, to float64) (all []float64) {
	for x := from; x <= to; x += 0.05 {
		all = append(all, math.Round(x*100)/100)
	}
	return append(all, from, to)
}

func one(f Finding, found bool) []Finding {
	if !found {
		return nil
	}
	return []Finding{f}
}

// all words every finding, each with many figures.
func all() (list []Finding) {
	for _, w := range []Where{{}, On(1), On(1, 2), On(1, 3, 4), {Role: Raw}, {Raw, []int{3}}, {Processed, []int{1, 2}}} {
		for _, n := range []int64{1, 2, 697} {
			list = append(list, Clipped(w, n), FlatTops(w, n), Broken(w, n, 0), Broken(w, n, n), Broken(w, 0, n), CutFlat(w, n, -0.3), BentOver(w), Turned(w, On(1)), OurOverload(w, n, ""), OurOverload(w, n, Raw), OurOverload(w, n, Safety))
		}
		list = append(list, Inverted(Where{Role: w.Role}), Cancels(Where{Role: w.Role}, 4.2), Offset(w, 0.0041), Offset(w, -0.3),
			HumAlone(w, 50, -61), MainsHum(Caution, w, 60, -48, 22), RecordedQuiet(w, -47.3), InterfaceHot(w, -1.5), InterfaceQuiet(w, -47), Noisy(Stop, 3).In(Raw))
		if len(w.Channels) > 0 {
			list = append(list, Dead(w, On(2)), Dead(w, On(2, 5)), Crosstalk(w, On(2), 35), Copied(w, On(2), 10, ""), Copied(w, On(2), 10.04, "from 0:01.20 to 0:03.45"), Clipped(w, 3).Whole(On(2)), MutedTrack(w, Where{Raw, []int{4}}, true), MutedTrack(w, Where{Role: Raw}, false))
		}
	}
	for _, x := range sweep(-30, 60) {
		list = append(list, MainsHum(HumSeverity(x), Where{}, 50, -60, x), LowRumble(x, 0), LowRumble(x, 80), Wind(x, 75), Wind(x, 0))
		list = append(list, one(Room(x))...)
		list = append(list, one(Unspoken(Where{}, x-50))...)
		list = append(list, one(Unspoken(On(2), -x))...)
		list = append(list, one(RoomAtCamera(-31+x/2, -9))...)
		list = append(list, UnspokenOver(x), CameraOverloaded(x))
		if math.Abs(x) > 1 {
			list = append(list, TurnedInput(x), VolumeChanged("Camera_In", x, 0))
		}
		if x > 1 {
			list = append(list, LowerGain(Stop, x), RaiseGain(x), LowerCamera(Caution, x), RaiseCamera(x), RaisePreamp(-12-x, x))
		}
		for _, suits := range []float64{-24, -1, -0.4, 0, 0.4, 1, 6, 40} {
			for _, loud := range []float64{0, 3, 12} {
				list = append(list, one(AtCamera(camera.Default, Placed{-x, -x + loud, 0, suits}))...)
			}
		}
	}
	return append(list, NothingComesIn(), NoNumbers(1), NoNumbers(7), NobodySpeaks(), OnlyRoom(), Thumps(80), Thumps(0), NotYetJudged(),
		SpeakAgain(Safe(), 12), Right(), Safe(), Faulted("a crash"), LostInput("Field interface", 3*time.Second), LostInput("", time.Second),
		AnotherInput("Webcam", "Field interface"), MonitorAsInput("Monitor of Camera_In"), MutedInput(), NoneSent(), OnlyZeros("linux"), OnlyZeros("darwin"), OnlyZeros("windows"), UnevenInput(), NotFed(), Howling("1240 Hz rose by 41 dB per second"), LostHeadphones(""), LostHeadphones("headphone jack"), HeadphonesStopped("a mistake"), RightInDemo(), CheckedNotReady(),
		LostCamera("Camera_In", ""), LostCamera("", "the device is busy"), MutedCamera("Camera_In"), MutedCamera(""), BalanceChanged(""),
		LineUpStale("it was made over another output"), Frames(1), Frames(480), DiskSlow(480), Disk(8*time.Minute), Disk(time.Second),
		Battery(9), TakeBroken("disk full; 12:41 saved"))
}

var people = []Person{{Name: "host", Strip: 1, Input: 3}, {Name: "guest", Strip: 2, Input: 2}, {Strip: 2, Input: 12}, {Name: "the presenter", Strip: 4}}

// ofPeople words findings of every kind about one person, and those between two.
func ofPeople() (list []Finding) {
	every := all()
	for i, p := range people {
		other := people[(i+1)%len(people)]
		for n := i; n < len(every); n += 7 {
			f := every[n]
			ofPair := f.Code == SafetyCopy || strings.Contains(f.Action, "has it whole") || f.Code == DeadChannel || f.Code == Leaks || f.Code == PolarityInverted
			if f.Track == "" && len(f.Channels) == 0 && !ofPair && f.Place != System && f.Severity != Good && f.Code != RecordingFailed && (f.Channel == 0 || f.Channel == p.Strip) {
				list = append(list, f.Of(p))
			}
		}
		list = append(list, LetSpeak(p), DeadMic(p), Unheard(p), OnlyLeaks(p, other, 31), Exchanged(p, other), Opposite(p, other), Alike(p, other))
		for _, x := range sweep(-10, 10) {
			list = append(list, Overheard(p, other, x))
		}
	}
	return list
}

func TestPeopleAreNamed(t *testing.T) {
	for _, f := range ofPeople() {
		require.Regexp(t, whole_, capital(f.Message))
		require.Contains(t, strings.ToLower(f.Text()), strings.ToLower(cmp.Or(f.Name, "mic")))
		require.LessOrEqual(t, utf8.RuneCountInString(f.Text()), 76, f.Text())
		for _, text := range []string{f.Message, strings.TrimSuffix(f.Action, "."), f.Text()} {
			require.NotRegexp(t, broken, text)
			require.NotRegexp(t, nobodys, text)
		}
	}
	host, guest, nobody := people[0], people[1], people[2]
	for want, f := range map[string]Finding{
		"guest: turn preamp 2 up by about 6 dB.":                            RaisePreamp(-30, 6).Of(guest),
		"host: lower host's gain by about 4 dB.":                            LowerGain(Stop, 4).Of(host),
		"microphone 2: turn preamp 12 down by about 11 dB.":                 InterfaceHot(Where{}, -1.5).Of(nobody),
		"Host's mic overloads: turn preamp 3 down.":                         Clipped(On(1), 2).Of(host),
		"guest: wind or moved air rumbles: set the high-pass to 80 Hz.":     Wind(4, 80).Of(guest),
		"No voice in guest's mic yet: let guest speak.":                     LetSpeak(guest),
		"Guest's mic hears too much of host: bring it closer to the mouth.": Overheard(guest, host, 4),
		"Swapped: host speaks into guest's mic: exchange the names.":        Exchanged(host, guest),
		"guest: speak as you will on camera.":                               NotYetJudged().Of(guest),
	} {
		require.Equal(t, want, f.Text())
	}
}

var (
	whole_  = regexp.MustCompile(`^[A-Z1-9].*[^ .]\.$`)
	nobodys = regexp.MustCompile(`[Cc]hannel \d|the interface's preamp`)
	broken  = regexp.MustCompile(`%!|NaN|Inf|∞|  |-\d|[^\d.]0 dB|\+0\.0|−0\b|by 0[^.]|undefined`)
)

func TestOnePlainSentenceAndOneActionEach(t *testing.T) {
	for _, f := range all() {
		require.Regexp(t, whole_, f.Message)
		for _, text := range []string{f.Message, strings.TrimSuffix(f.Action, "."), f.Text()} {
			if f.Code == InputVolume || f.Code == LineUpChanged {
				continue // 0 dB is what to set there, or what was
			}
			require.NotRegexp(t, broken, text)
		}
		if f.Severity != Good {
			require.Regexp(t, whole_, f.Action)
		}
		require.GreaterOrEqual(t, f.Code.rank(), 0, f.Code)
		require.GreaterOrEqual(t, f.Severity.rank(), 0, f.Severity)
		require.Contains(t, []Place{Here, Interface, System, Camera, OnSet}, f.Place)
	}
}

// A line fits the Monitor's row of 80 cells, however the channels are called.
func TestLinesFitARow(t *testing.T) {
	for _, f := range all() {
		if f.Track == "" && f.Line != "" && f.Code != RecordingFailed && f.Code != Speak && len(f.Channels) < 3 {
			require.LessOrEqual(t, utf8.RuneCountInString(f.Text()), 76, f.Text())
		}
	}
}

// No finding whose figure rounds to nothing: each edge has other words or none.
func TestEdgesOfTheCameraWindow(t *testing.T) {
	s := camera.Default // −12 … −6, clips at 0
	at := func(speech, loudest, now, suits float64) string {
		f, found := AtCamera(s, Placed{speech, loudest, now, suits})
		if !found {
			return ""
		}
		return string(f.Severity) + ": " + f.Message + " " + f.Action
	}
	for _, c := range []struct {
		speech, loudest, now, suits float64
		want                        string
	}{
		{-9, -5, 0, 0, ""},
		{-5.6, -3, 0, -1, ""},
		{-5.5, -3, 0, -3.5, "caution: Speech peaks sit 1 dB above the camera's target window. Set the output gain to −3.5 dB."},
		{-12.4, -8, 0, 3.4, ""},
		{-12.5, -8, 0, 3.5, "info: Speech peaks sit 1 dB under the camera's target window. Set the output gain to +3.5 dB."},
		{-4, -0.5, 0, -5, "caution: Speech peaks sit 2 dB above the camera's target window. Set the output gain to −5.0 dB."},
		{-4, -0.4, 0, -5, "stop: Loud moments reach the camera's clip point. Set the output gain to −5.0 dB."},
		{-4, 0, 0, -5, "stop: Loud moments reach the camera's clip point. Set the output gain to −5.0 dB."},
		{-4, 0.5, 0, -5, "stop: Loud moments overload the camera by 1 dB. Set the output gain to −5.0 dB."},
		{-4, 3, 1, 1, "stop: Loud moments overload the camera by 3 dB. Set the high-pass as it suits: thumps and rumble make the peaks so high."},
		{-16, -1.2, 1, 1, "info: Speech peaks sit 4 dB under the camera's target window. Speak more evenly, a little away from the microphone: loud moments leave no room for more gain."},
		{-16, -3, 0, 2, "info: Speech peaks sit 4 dB under the camera's target window. Set the output gain to +2.0 dB, and speak more evenly: loud moments leave no more room."},
		{-20, -15, 0, 3, "caution: Speech peaks sit 8 dB under the camera's target window. Set the output gain to +3.0 dB and turn the camera's mic level up."},
		{-20, -15, 3, 3, "caution: Speech peaks sit 8 dB under the camera's target window. Turn the camera's mic level up by about 8 dB."},
	} {
		require.Equal(t, c.want, at(c.speech, c.loudest, c.now, c.suits), "%+v", c)
	}
}

func TestEdgesAroundTheVoice(t *testing.T) {
	for under, want := range map[float64]string{-0.6: "1 dB above the voice", -0.4: "as loud as the voice", 0: "as loud as the voice",
		0.4: "as loud as the voice", 0.5: "1 dB under the voice", 29.6: "30 dB under the voice"} {
		require.Contains(t, LowRumble(under, 0).Message, want)
		require.Contains(t, MainsHum(Stop, Where{}, 50, -30, under).Message, want)
	}
	for snr, want := range map[float64]string{-3: "The voice is no louder than the room.", 0.4: "The voice is no louder than the room.",
		0.6: "The voice stands only 1 dB above the room."} {
		require.Equal(t, want, Noisy(Stop, snr).Message)
	}
}

func TestWording(t *testing.T) {
	require.Equal(t, "The input of channel 1 overloads: full scale was hit once.", Clipped(On(1), 1).Message)
	require.Equal(t, "The input of channels 1 and 3 overloads: full scale was hit 12 times.", Clipped(On(1, 3), 12).Message)
	require.Equal(t, "Channels 1 and 3 overload: turn the interface's preamp down.", Clipped(On(1, 3), 12).Text())
	require.Equal(t, "The input overloads: turn the interface's preamp down.", Clipped(Where{}, 12).Text())
	require.Equal(t, "The processed track overloads: full scale was hit 697 times.", OurOverload(Where{Role: Processed}, 697, Raw).Message)
	require.Equal(t, "The raw track is clean: take that. Lower the gain here for the next take.", OurOverload(Where{Role: Processed}, 697, Raw).Action)
	require.Equal(t, "Turn the gain at the interface down by about 11 dB.", InterfaceHot(Where{}, -1.5).Action)
	require.Equal(t, -11, InterfaceHot(Where{}, -1.5).ByDB)
	require.Equal(t, "Mains hum of 50 Hz on channel 2 at −60 dBFS, 30 dB under the voice.", MainsHum(Info, On(2), 50, -60, 30).Message)
	require.Equal(t, "Put a wind shield on the microphone.", Wind(12, 0).Action)
	require.Equal(t, "Mains hum of 50 Hz at −61 dBFS.", HumAlone(Where{}, 50, -61).Message)
	require.Equal(t, "Channels 1, 3 and 4 carry no voice.", Dead(On(1, 3, 4), On(2)).Message)
	require.Equal(t, "Input track 3 carries no voice.", Dead(Where{Raw, []int{3}}, Where{Raw, []int{4}}).Message)
}

// The place is a field: what only a setting here mends is done here, what
// overloads or starves the interface there, a camera's scale at the camera.
func TestPlaces(t *testing.T) {
	for _, c := range []struct {
		f    Finding
		want Place
	}{
		{Clipped(Where{}, 1), Interface}, {Offset(On(1), 0.1), Here}, {InterfaceHot(Where{}, -1), Interface}, {InterfaceQuiet(Where{}, -44), Interface},
		{RecordedQuiet(Where{}, -44), OnSet}, {Wind(3, 80), Here}, {Wind(3, 0), OnSet}, {Inverted(Where{}), Interface}, {Cancels(Where{}, 4), OnSet},
		{LowerGain(Stop, 4), Here}, {RaiseCamera(4), Camera}, {TurnedInput(-6), System}, {NotFed(), Here}, {FlatTops(Where{}, 4), OnSet},
	} {
		require.Equal(t, c.want, c.f.Place, c.f.Action)
	}
}

func TestOneFindingForItsChannels(t *testing.T) {
	counts := []int64{3, 0, 4}
	count := func(c int) int64 { return counts[c] }
	require.Equal(t, []Finding{Clipped(On(1, 3), 7)}, Signal{Channels: 3}.Counted(count, Clipped))
	require.Equal(t, []Finding{Clipped(Where{}, 3)}, Signal{Channels: 1}.Counted(count, Clipped), "a single channel has no name")
	tracks := Signal{Channels: 3, Role: Raw, Columns: []int{4, 5, 6}}
	require.Equal(t, []Finding{Clipped(Where{Raw, []int{4, 6}}, 7)}, tracks.Counted(count, Clipped))
	require.Empty(t, Signal{Channels: 3}.Counted(func(int) int64 { return 0 }, Clipped))
	require.Equal(t, []Finding{Offset(On(1), -0.02)}, Signal{Channels: 2}.Beyond(OffsetLimit, func(c int) float64 { return -0.02 * float64(1-c) }, Offset))
	hum := func(c int) Humming { return Humming{c > 0, 50, -60 + float64(c)} }
	require.Equal(t, []Finding{MainsHum(Caution, On(2, 3), 50, -58, 30)}, Signal{Channels: 3}.Hums(hum, -28))
	require.Equal(t, []Finding{HumAlone(On(2, 3), 50, -58)}, Signal{Channels: 3}.Hums(hum, math.NaN()))
	f := Clipped(On(1, 3), 7)
	require.True(t, f.About(3))
	require.False(t, f.About(2))
	require.True(t, Clipped(Where{}, 1).About(2))
}

func TestOrderAndVerdict(t *testing.T) {
	info := RaiseGain(3).With(Info)
	f := []Finding{Thumps(0), info, Clipped(On(2), 1), Clipped(On(1), 1), Noisy(Caution, 15), LostInput("", 0)}
	Sort(f)
	require.Equal(t, []Finding{LostInput("", 0), Clipped(On(1), 1), Clipped(On(2), 1), Noisy(Caution, 15), Thumps(0), info}, f)
	require.Equal(t, NotReady, Judge(f))
	require.Equal(t, Cautious, Judge(f[3:]))
	require.Equal(t, Ready, Judge(f[5:]))
	require.Equal(t, Ready, Judge(nil))
	require.True(t, Stop.Graver(Caution))
	require.False(t, Good.Graver(Good))
}

func TestJSONNames(t *testing.T) {
	text, err := json.Marshal(Dead(On(2), On(1)))
	require.NoError(t, err)
	require.JSONEq(t, `{"code":"dead-channel","severity":"caution","place":"on set","channel":2,"message":"Channel 2 carries no voice.",
		"action":"Check its microphone and cable, or use only channel 1."}`, string(text))
	text, err = json.Marshal(Clipped(Where{Raw, []int{3, 4}}, 2))
	require.NoError(t, err)
	require.JSONEq(t, `{"code":"input-clipped","severity":"stop","place":"interface","channel":0,"channels":[3,4],"track":"input",
		"message":"Input tracks 3 and 4 overload: full scale was hit 2 times.",
		"action":"Turn down 12 dB or more at the interface; nothing here mends it.","by_db":-12}`, string(text))
}
