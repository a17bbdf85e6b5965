package main

import (
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"rollready/capture/take"
	"rollready/dsp/figure"
	"rollready/dsp/plain"
	"rollready/dsp/verdict"
)

func newTake(a *app) *cobra.Command {
	return group("take", "Record takes, list them, mend them, report on them",
		newTakeRecord(a), newTakeList(a), newTakeRecover(a), newTakeReport(a))
}

// takeJSON is a take as scripts read it.
type takeJSON struct {
	Path       string        `json:"path"`
	Scene      string        `json:"scene"`
	Take       int           `json:"take"`
	RoomTone   bool          `json:"room_tone"`
	Circled    bool          `json:"circled"`
	Note       string        `json:"note"`
	State      take.State    `json:"state"`
	Verdict    string        `json:"verdict"`
	Reasons    []string      `json:"reasons"`
	Started    string        `json:"started"`
	Length     figure.Figure `json:"length_s"`
	BeforeKey  figure.Figure `json:"before_key_s"`
	RateHz     int           `json:"sample_rate_hz"`
	Encoding   string        `json:"encoding"`
	Tracks     []string      `json:"tracks"`
	Input      figure.Figure `json:"input_peak_dbtp"`
	Output     figure.Figure `json:"output_peak_dbtp"`
	Camera     figure.Figure `json:"camera_peak_dbtp"`
	Integrated figure.Figure `json:"integrated_lufs"`
	Range      figure.Figure `json:"loudness_range_lu"`
	Momentary  figure.Figure `json:"max_momentary_lufs"`
	ShortTerm  figure.Figure `json:"max_short_term_lufs"`
	NoiseFloor figure.Figure `json:"noise_floor_dbfs"`
	Clips      int64         `json:"clips"`
	Dropouts   int64         `json:"dropout_frames"`
	Lost       int64         `json:"lost_frames"`
	Lag        int64         `json:"lag_frames"`
	Markers    []markerJSON  `json:"markers"`
	Events     []eventJSON   `json:"events"`
}

type markerJSON struct {
	At   figure.Figure `json:"at_s"`
	Text string        `json:"text"`
}

type eventJSON struct {
	Time string        `json:"time"`
	At   figure.Figure `json:"at_s"`
	Kind verdict.Code  `json:"kind"`
	Text string        `json:"text"`
}

// iso is a time as JSON has it.
const iso = "2006-01-02T15:04:05.000Z07:00"

func newTakeJSON(t take.Take) takeJSON {
	word, why := t.Verdict()
	l := t.Levels
	at := func(frame int64) figure.Figure { return figure.Figure(float64(frame) / float64(t.RateHz)) }
	j := takeJSON{Path: t.Path, Scene: t.Scene, Take: t.Number, RoomTone: t.RoomTone, Circled: t.Circled, Note: t.Note, State: t.State,
		Verdict: word, Reasons: append([]string{}, why...), Started: t.Started.Format(iso), Length: at(t.Frames), BeforeKey: at(t.LeadFrames),
		RateHz: t.RateHz, Encoding: t.Encoding, Tracks: append([]string{}, t.Tracks...),
		Input: figure.Figure(l.InputPeakDBTP), Output: figure.Figure(l.OutputPeakDBTP), Camera: figure.Figure(l.CameraPeakDBTP),
		Integrated: figure.Figure(l.IntegratedLUFS), Range: figure.Figure(l.RangeLU), Momentary: figure.Figure(l.MaxMomentaryLUFS), ShortTerm: figure.Figure(l.MaxShortTermLUFS),
		NoiseFloor: figure.Figure(l.NoiseFloorDBFS), Clips: l.Clips, Dropouts: t.Dropouts, Lost: t.Lost, Lag: t.Lag,
		Markers: []markerJSON{}, Events: []eventJSON{}}
	for _, m := range t.Markers {
		j.Markers = append(j.Markers, markerJSON{at(m.Frame), m.Text})
	}
	for _, e := range t.Events {
		j.Events = append(j.Events, eventJSON{e.At.Format(iso), at(e.Frame), e.Kind, e.Text})
	}
	return j
}

type unreadableJSON struct {
	Path  string `json:"path"`
	Error string `json:"error"`
}

type takeListJSON struct {
	Takes      []takeJSON       `json:"takes"`
	Unreadable []unreadableJSON `json:"unreadable"`
}

func newTakeList(a *app) *cobra.Command {
	dir, asJSON := "", false
	cmd := &cobra.Command{Use: "list", Short: "List the takes in a folder", Args: noArgs,
		Example: "  rollready take list --dir harbour --json",
		RunE: func(*cobra.Command, []string) error {
			found, err := take.List(dir)
			if err != nil {
				return err
			}
			if asJSON {
				return printJSON(a.stdout, newTakeListJSON(found))
			}
			return a.printTakes(found)
		}}
	cmd.Flags().StringVar(&dir, "dir", ".", "`DIR` of the takes")
	cmd.Flags().BoolVar(&asJSON, "json", false, "one JSON object")
	return cmd
}

func newTakeListJSON(found []take.Found) takeListJSON {
	list := takeListJSON{Takes: []takeJSON{}, Unreadable: []unreadableJSON{}}
	for _, f := range found {
		if f.Err != nil {
			list.Unreadable = append(list.Unreadable, unreadableJSON{f.Take.Path, oneLine(f.Err)})
			continue
		}
		list.Takes = append(list.Takes, newTakeJSON(f.Take))
	}
	return list
}

func (a *app) printTakes(found []take.Found) error {
	table := newColumns(a.stdout, "TAKE", "STARTED", "LENGTH", "CAMERA PEAK", "LOUDNESS", "VERDICT", "CIRCLED", "FILE")
	for _, f := range found {
		if f.Err != nil {
			a.warn(f.Err)
			continue
		}
		t := f.Take
		word, _ := t.Verdict()
		good := ""
		if t.Circled {
			good = "yes"
		}
		started := "–"
		if !t.Started.IsZero() {
			started = t.Started.Format("2006-01-02 15:04:05")
		}
		table.row(t.Title(), started, fmt.Sprintf("%.1f s", t.Duration().Seconds()),
			unit(figure.Figure(t.Levels.CameraPeakDBTP), "dBTP"), unit(figure.Figure(t.Levels.IntegratedLUFS), "LUFS"), word, good, filepath.Base(t.Path))
	}
	return table.print()
}

type recoveredJSON struct {
	Path    string       `json:"path"`
	Outcome take.Outcome `json:"outcome"`
	Text    string       `json:"text"`
	Frames  int64        `json:"frames"`
	Gained  int64        `json:"gained_frames"`
}

func newTakeRecover(a *app) *cobra.Command {
	asJSON := false
	cmd := &cobra.Command{Use: "recover [FILE or DIR]…", Short: "Mend recordings that a crash or a full disk cut short",
		Long: `Mends WAV files whose header does not fit the sound that is there, as a crash,
a power cut or a full disk leaves them. Whole files are not touched and no
sound is taken away. Without a name it looks at the present folder. Ends with 1
if a file could not be mended.`,
		Example: "  rollready take recover harbour",
		RunE: func(_ *cobra.Command, args []string) error {
			all, err := recoverAll(args)
			if err != nil {
				return err
			}
			return a.printRecovered(all, asJSON)
		}}
	cmd.Flags().BoolVar(&asJSON, "json", false, "one JSON object")
	return cmd
}

func recoverAll(paths []string) (all []take.Recovered, err error) {
	if len(paths) == 0 {
		paths = []string{"."}
	}
	for _, path := range paths {
		info, err := os.Stat(path)
		if err != nil {
			return nil, err
		}
		if !info.IsDir() {
			all = append(all, take.Recover(path))
			continue
		}
		folder, err := take.RecoverFolder(path)
		if err != nil {
			return nil, err
		}
		all = append(all, folder...)
	}
	return all, nil
}

func (a *app) printRecovered(all []take.Recovered, asJSON bool) error {
	files := []recoveredJSON{}
	hopeless := false
	for _, r := range all {
		files = append(files, recoveredJSON{r.Path, r.Outcome, r.Text, r.Frames, r.Gained})
		hopeless = hopeless || r.Outcome == take.Hopeless
		if !asJSON {
			fmt.Fprintf(a.stdout, "%s: %s", plain.Text(r.Path), r.Outcome)
			if r.Text != "" {
				fmt.Fprintf(a.stdout, ": %s", plain.Text(r.Text))
			}
			fmt.Fprintln(a.stdout)
		}
	}
	if asJSON {
		if err := printJSON(a.stdout, map[string]any{"files": files}); err != nil {
			return err
		}
	}
	if hopeless {
		return errFinding
	}
	return nil
}
