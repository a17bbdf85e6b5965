package main

import (
	"fmt"
	"io"
	"strings"

	"rollready/dsp/figure"
	"rollready/dsp/preroll"
	"rollready/dsp/verdict"
)

// writeCheck writes the result of a check for a person.
func writeCheck(w io.Writer, r preroll.Result, setup preroll.Setup) {
	fmt.Fprintf(w, "%s: %s\n", strings.ToUpper(string(r.Verdict)), verdictWords(r.Verdict))
	writeFindings(w, r.Findings)
	if r.Recommend.OutputGainDB.Known() {
		figure.Fprintf(w, "\nSuits this voice here: output gain %+.1f dB, high-pass %s\n", r.Recommend.OutputGainDB, r.Recommend.HighPass.Words())
		fmt.Fprintf(w, "Set now:               %s\n", setup.Chain.Words())
		fmt.Fprintf(w, "Voice:                 peaks %s dBTP, at the camera %s dBFS; %s LUFS; %s dBA above the room\n",
			r.Voice.PeakDBFS, figure.Figure(setup.Camera.Reads(float64(r.Voice.PeakDBFS))),
			r.Voice.ShortTermLUFS, r.Voice.SNRDBA)
	}
	fmt.Fprintf(w, "Room tone:             %s dBFS, %s dBA\n", r.RoomTone.LevelDBFS, r.RoomTone.LevelDBA)
}

func verdictWords(v verdict.Verdict) string {
	switch v {
	case verdict.Ready:
		return "you may roll"
	case verdict.Cautious:
		return "you may roll, but see first to what follows"
	default:
		return "do not roll yet"
	}
}
