package dailies

import (
	"context"
	"slices"

	"rollready/capture/survey"
	"rollready/dsp/verdict"
)

// Judge measures the clips and takes that belong together as `report` does,
// and gives them their findings. What was measured before is known.
func Judge(ctx context.Context, d *Day, o Options) error {
	s, err := newShelf(o.Keep)
	if err != nil {
		return err
	}
	found := map[string][]verdict.Finding{}
	var files []Recording
	add := func(r Recording) {
		if _, there := found[r.Path]; !there && r.Frames > 0 {
			found[r.Path] = nil
			files = append(files, r)
		}
	}
	for _, c := range d.Clips {
		add(c.Recording)
		for _, p := range c.Parts {
			add(p.Take)
		}
	}
	results, failures := make([][]verdict.Finding, len(files)), make([]error, len(files))
	err = inParallel(ctx, len(files), func(i int) error {
		results[i], failures[i] = s.judge(ctx, files[i])
		return ctx.Err()
	}, func(done int64) { o.tell("measure", done, int64(len(files))) })
	if err != nil {
		return err
	}
	for i, r := range files {
		found[r.Path] = results[i]
		if failures[i] != nil {
			d.Failed = append(d.Failed, Failure{r.Path, failures[i].Error()})
		}
	}
	for i := range d.Clips {
		c := &d.Clips[i]
		c.Findings = found[c.Path]
		for k := range c.Parts {
			c.Parts[k].Take.Findings = found[c.Parts[k].Take.Path]
		}
	}
	return nil
}

func (s shelf) judge(ctx context.Context, r Recording) (f []verdict.Finding, err error) {
	if s.load(r.Key, "findings", &f) {
		return f, nil
	}
	result, err := survey.File(ctx, r.Path, nil)
	if err != nil {
		return nil, err
	}
	f = slices.Clone(result.Findings)
	for i := range f {
		f[i].Action = "" // the day is over: nothing is to be turned any more
	}
	return f, s.save(r.Key, "findings", f)
}

// stops tells whether one of the findings stops.
func stops(findings []verdict.Finding) bool {
	return slices.ContainsFunc(findings, func(f verdict.Finding) bool { return f.Severity == verdict.Stop })
}
