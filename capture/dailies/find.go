package dailies

import (
	"context"
	"fmt"
	"runtime"
	"sync"
	"sync/atomic"

	"rollready/dsp/match"
)

// Progress is told how far a stage of the work has come, from any goroutine.
type Progress func(stage string, done, all int64)

// Options are what Find needs.
type Options struct {
	Clips, Takes []string // paths
	Keep         string   // folder for what is found out
	Progress     Progress // nil if nobody wants to know
}

func (o Options) tell(stage string, done, all int64) {
	if o.Progress != nil {
		o.Progress(stage, done, all)
	}
}

// finder is one run of Find.
type finder struct {
	Options
	shelf shelf
	clips []Recording
	takes []Recording
	known []*known // per clip
}

// Find finds out which clip belongs to which take. A file that can't be read
// is among the day's failures and does not stop the others; the error says why
// nothing could be done, or is the context's.
func Find(ctx context.Context, o Options) (Day, error) {
	s, err := newShelf(o.Keep)
	if err != nil {
		return Day{}, err
	}
	f := &finder{Options: o, shelf: s}
	var day Day
	if f.takes, err = f.measureAll(ctx, "read takes", o.Takes, &day); err != nil {
		return day, err
	}
	if f.clips, err = f.measureAll(ctx, "read clips", o.Clips, &day); err != nil {
		return day, err
	}
	if err := f.search(ctx); err != nil {
		return day, err
	}
	day.Takes, day.Clips = f.takes, make([]Clip, len(f.clips))
	failures := make([]error, len(f.clips))
	err = inParallel(ctx, len(f.clips), func(i int) error {
		day.Clips[i], failures[i] = f.settle(ctx, i)
		return ctx.Err()
	}, func(done int64) { f.tell("compare", done, int64(len(f.clips))) })
	for i, failed := range failures {
		if failed != nil && err == nil {
			day.Failed = append(day.Failed, Failure{f.clips[i].Path, failed.Error()})
		}
	}
	learnClocks(day.Clips)
	return day, err
}

// inParallel does n pieces of work, a few at a time, until one fails.
func inParallel(ctx context.Context, n int, work func(i int) error, progress func(done int64)) error {
	var next, done atomic.Int64
	var once sync.Once
	var failed error
	var running sync.WaitGroup
	for range min(n, max(2, runtime.NumCPU())) {
		running.Go(func() {
			for i := next.Add(1) - 1; int(i) < n && ctx.Err() == nil; i = next.Add(1) - 1 {
				if err := work(int(i)); err != nil {
					once.Do(func() { failed = err })
					next.Store(int64(n))
				}
				progress(done.Add(1))
			}
		})
	}
	running.Wait()
	if ctx.Err() != nil {
		return ctx.Err()
	}
	return failed
}

// measureAll makes or loads the prints.
func (f *finder) measureAll(ctx context.Context, stage string, paths []string, day *Day) ([]Recording, error) {
	found, failures := make([]Recording, len(paths)), make([]error, len(paths))
	err := inParallel(ctx, len(paths), func(i int) error {
		k, err := measure(ctx, f.shelf, paths[i], func(int64) {})
		found[i], failures[i] = k.Recording, err
		return ctx.Err()
	}, func(done int64) { f.tell(stage, done, int64(len(paths))) })
	if err != nil {
		return nil, err
	}
	var good []Recording
	for i, r := range found {
		switch {
		case failures[i] != nil:
			day.Failed = append(day.Failed, Failure{paths[i], failures[i].Error()})
		case r.Frames == 0 && !r.Picture.Mute:
			day.Failed = append(day.Failed, Failure{paths[i], "there is no sound in it"})
		default:
			good = append(good, r)
		}
	}
	return good, nil
}

// print loads a print that was kept.
func (f *finder) print(r Recording) (match.Print, error) {
	var k kept
	if !f.shelf.load(r.Key, "print", &k) {
		return match.Print{}, fmt.Errorf("%s changed meanwhile: run it again", r.Path)
	}
	return k.Print, nil
}

// search looks for every clip in every take that it was not looked for in yet,
// a group of takes at a time, so that memory stays flat.
func (f *finder) search(ctx context.Context) error {
	f.known = make([]*known, len(f.clips))
	open := map[string]bool{}
	for i, c := range f.clips {
		f.known[i] = f.loadKnown(c)
		for _, t := range f.takes {
			if !f.known[i].searched(t.Key) {
				open[t.Key] = true
			}
		}
	}
	done := int64(0)
	for next := 0; next < len(f.takes); {
		var x match.Index
		var group []Recording
		for ; next < len(f.takes) && !x.Full(); next++ {
			if t := f.takes[next]; open[t.Key] {
				p, err := f.print(t)
				if err != nil {
					return err
				}
				x.Add(next, p)
				group = append(group, t)
			}
		}
		if err := f.searchGroup(ctx, &x, group, done); err != nil {
			return err
		}
		done += int64(len(group))
	}
	return nil
}

func (f *finder) searchGroup(ctx context.Context, x *match.Index, group []Recording, before int64) error {
	if len(group) == 0 {
		return nil
	}
	searchers := sync.Pool{New: func() any { return match.NewSearcher() }}
	return inParallel(ctx, len(f.clips), func(i int) error {
		k := f.known[i]
		if k.allSearched(group) {
			return nil
		}
		p, err := f.print(f.clips[i])
		if err != nil {
			return err
		}
		s := searchers.Get().(*match.Searcher)
		defer searchers.Put(s)
		for _, h := range s.Search(x, p) {
			if key := f.takes[h.Take].Key; !k.searched(key) {
				k.add(key, h, p.Seconds)
			}
		}
		k.noteSearched(group)
		return nil
	}, func(done int64) {
		f.tell("search", before*int64(len(f.clips))+done*int64(len(group)), int64(len(f.takes)*len(f.clips)))
	})
}
