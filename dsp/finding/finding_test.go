package finding

import (
	"encoding/json"
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"
)

func all() []Finding {
	return []Finding{NothingComesIn(), Clipped(1, 1), Clipped(0, 12), FlatTops(2, 3), FramesLost(4), NobodySpeaks(), Inverted(), Cancels(4.2),
		Dead(1), Dead(2), InterfaceHot(0, -1.5), InterfaceQuiet(2, -47), CameraOver(-3, -6), CameraOver(0.4, -6), CameraHot(3.2, -4.5),
		CameraQuiet(Info, 2, 3, true), CameraQuiet(Caution, 8, 12, false), Noisy(Stop, 4), Noisy(Caution, -2), MainsHum(Caution, 1, 50, -62.4, 40),
		MainsHum(Stop, 0, 60, -20, -3), LowRumble(20, 80), LowRumble(-4, 0), Wind(12, 75), Wind(12, 0), Thumps(80), Thumps(0), OnlyRoom(), RecordedQuiet(-47.3), HumAlone(0, 50, -61), HumAlone(2, 60, -48), Offset(1, 0.02), Offset(0, -0.1)}
}

var (
	sentence = regexp.MustCompile(`^[A-Z][^.!?\n]*(\d\.\d[^.!?\n]*)*\.$`)
	broken   = regexp.MustCompile(`%!|NaN|Inf|  |-\d`)
)

func TestOnePlainSentenceAndOneActionEach(t *testing.T) {
	for _, f := range all() {
		for _, text := range []string{f.Message, f.Action} {
			require.Regexp(t, sentence, text)
			require.NotRegexp(t, broken, text)
		}
		require.NotEqual(t, -1, importance(f.Code), f.Code)
		require.NotEqual(t, -1, rank(f.Severity), f.Severity)
	}
}

func TestWording(t *testing.T) {
	require.Equal(t, "The input of channel 1 overloads: full scale was hit once.", Clipped(1, 1).Message)
	require.Equal(t, "Turn the gain at the interface down by about 10 dB.", InterfaceHot(0, -1.5).Action)
	require.Equal(t, "Set the output gain to −4.5 dB.", CameraHot(3.2, -4.5).Action)
	require.Equal(t, "Mains hum of 50 Hz on channel 2 at −60 dBFS, 30 dB under the voice.", MainsHum(Info, 2, 50, -60, 30).Message)
	require.Equal(t, "Put a wind shield on the microphone.", Wind(12, 0).Action)
	require.Equal(t, "Mains hum of 50 Hz at −61 dBFS.", HumAlone(0, 50, -61).Message)
	require.Equal(t, "Mains hum of 60 Hz at −20 dBFS, 3 dB above the voice.", MainsHum(Stop, 0, 60, -20, -3).Message)
}

func TestOrderAndVerdict(t *testing.T) {
	f := []Finding{Thumps(0), CameraQuiet(Info, 1, 1, true), Clipped(2, 1), Clipped(1, 1), Noisy(Caution, 15)}
	Sort(f)
	require.Equal(t, []Finding{Clipped(1, 1), Clipped(2, 1), Noisy(Caution, 15), Thumps(0), CameraQuiet(Info, 1, 1, true)}, f)
	require.Equal(t, NotReady, Judge(f))
	require.Equal(t, Cautious, Judge(f[2:]))
	require.Equal(t, Ready, Judge(f[4:]))
	require.Equal(t, Ready, Judge(nil))
}

func TestJSONNames(t *testing.T) {
	text, err := json.Marshal(Dead(2))
	require.NoError(t, err)
	require.JSONEq(t, `{"code":"dead-channel","severity":"caution","channel":2,"message":"Channel 2 carries no voice.","action":"Check its microphone and cable, or use only channel 1."}`, string(text))
}
