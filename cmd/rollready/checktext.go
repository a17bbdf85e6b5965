package main

import (
	"fmt"
	"io"
	"strings"

	"rollready/capture/rig"
	"rollready/dsp/figure"
	"rollready/dsp/preroll"
	"rollready/dsp/verdict"
)

// writeCheck writes the result of a check with these options for a person.
func writeCheck(w io.Writer, r preroll.Result, o *rig.Options) {
	fmt.Fprintf(w, "%s: %s\n", strings.ToUpper(string(r.Verdict)), verdictWords(r.Verdict))
	writeFindings(w, r.Findings)
	for _, one := range r.Strips {
		fmt.Fprintf(w, "\n%s, %s\n", o.Settings.Strips.Called(one.Strip-1), one.Verdict)
		writeHeard(w, one.Recommend, one.Voice, one.RoomTone, o, one.Strip-1)
	}
	if len(r.Strips) == 0 {
		if r.Recommend.OutputGainDB.Known() {
			fmt.Fprintln(w)
		}
		writeHeard(w, r.Recommend, r.Voice, r.RoomTone, o, o.Settings.Strip)
	}
}

// writeHeard writes what suits a voice beside what is set, and what was heard.
func writeHeard(w io.Writer, suits preroll.Recommend, voice preroll.Voice, room preroll.RoomTone, o *rig.Options, strip int) {
	if suits.OutputGainDB.Known() {
		figure.Fprintf(w, "Suits this voice here: output gain %+.1f dB, high-pass %s\n", suits.OutputGainDB, suits.HighPass.Words())
		set := o.Settings.Strips.Chain(strip)
		fmt.Fprintf(w, "Set now:               %s\n", set.Words())
		fmt.Fprintf(w, "Voice:                 peaks %s dBTP, at the camera %s dBFS; %s LUFS; %s dBA above the room\n",
			voice.PeakDBFS, figure.Figure(o.Camera.Scale.Reads(float64(voice.PeakDBFS))), voice.ShortTermLUFS, voice.SNRDBA)
	}
	fmt.Fprintf(w, "Room tone:             %s dBFS, %s dBA\n", room.LevelDBFS, room.LevelDBA)
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
