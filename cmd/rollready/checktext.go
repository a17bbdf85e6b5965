package main

import (
	"fmt"
	"io"
	"strings"

	"rollready/dsp/figure"
	"rollready/dsp/finding"
	"rollready/dsp/preroll"
)

// writeCheck writes the result of a check for a person.
func writeCheck(w io.Writer, r preroll.Result, setup preroll.Setup) {
	fmt.Fprintf(w, "%s: %s\n", strings.ToUpper(string(r.Verdict)), verdictWords(r.Verdict))
	writeFindings(w, r.Findings)
	if r.Recommend.OutputGainDB.Known() {
		fmt.Fprintf(w, "\nSuits this voice here: output gain %+.1f dB, high-pass %s\n", float64(r.Recommend.OutputGainDB), describeCut(r.Recommend.HighPass))
		fmt.Fprintf(w, "Set now:               %s\n", describeChain(setup.Chain))
		fmt.Fprintf(w, "Voice:                 peaks %s dBTP, at the camera %s dBFS; %s LUFS; %s dBA above the room\n",
			shown(r.Voice.PeakDBFS), shown(figure.Figure(setup.Camera.Reads(float64(r.Voice.PeakDBFS)))),
			shown(r.Voice.ShortTermLUFS), shown(r.Voice.SNRDBA))
	}
	fmt.Fprintf(w, "Room tone:             %s dBFS, %s dBA\n", shown(r.RoomTone.LevelDBFS), shown(r.RoomTone.LevelDBA))
}

func verdictWords(v finding.Verdict) string {
	switch v {
	case finding.Ready:
		return "you may roll"
	case finding.Cautious:
		return "you may roll, but see first to what follows"
	default:
		return "do not roll yet"
	}
}

// shown is a level or difference with one decimal.
func shown(f figure.Figure) string {
	if !f.Known() {
		return "−∞"
	}
	return fmt.Sprintf("%.1f", float64(f))
}
