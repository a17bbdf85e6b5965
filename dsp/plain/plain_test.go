package plain_test

import (
	"encoding/json"
	"testing"
	"unicode"

	"github.com/stretchr/testify/require"

	"rollready/dsp/plain"
)

func TestTextThatATerminalObeysIsShown(t *testing.T) {
	for text, want := range map[string]string{
		"harbour wall.wav": "harbour wall.wav",
		"":                 "",
		"Grüße 12A – “door”, 日本語, 👍":  "Grüße 12A – “door”, 日本語, 👍",
		"a\x1b[31mred\x1b[0m.wav":     "a␛[31mred␛[0m.wav",
		"two\nlines\r\there":          "two␊lines␍␉here",
		"bell\a nul\x00 del\x7f":      "bell␇ nul␀ del␡",
		"gnp\u202ewav.exe":            "gnp�wav.exe",
		"\u2066x\u2069 \u200fy\u061c": "�x� �y�",
		"csi\u009b31m":                "csi�31m",
		"para\u2029line\u2028":        "para�line�",
		"not\xff utf8\xc3":            "not� utf8�",
	} {
		require.Equal(t, want, plain.Text(text))
	}
}

// No text of any kind keeps a control character or a mark of direction.
func FuzzText(f *testing.F) {
	f.Add("a\x1b]0;title\a\u202e")
	f.Fuzz(func(t *testing.T, s string) {
		for _, r := range plain.Text(s) {
			require.False(t, unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r), "%q", r)
		}
		require.Equal(t, plain.Text(s), plain.Text(plain.Text(s)))
	})
}

func TestASpreadsheetCalculatesNothing(t *testing.T) {
	for text, want := range map[string]string{"=cmd|' /C calc'!A0": "'=cmd|' /C calc'!A0", "+1": "'+1", "-x": "'-x", "@sum": "'@sum",
		"12A=3": "12A=3", "": "", "\t=1": "␉=1", "\r\n=1": "␍␊=1"} {
		require.Equal(t, want, plain.Cell(text))
	}
}

func TestJSONSaysTheSame(t *testing.T) {
	said := "a\u009b31m \u202e\u2066\ufeff ü"
	line, err := json.Marshal(said)
	require.NoError(t, err)
	safe := plain.JSON(line)
	require.Equal(t, `"a\u009b31m \u202e\u2066\ufeff ü"`, string(safe))
	var back string
	require.NoError(t, json.Unmarshal(safe, &back))
	require.Equal(t, said, back)
	require.Equal(t, "{}\n", string(plain.JSON([]byte("{}\n"))))
}
