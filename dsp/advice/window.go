package advice

import "math"

// A window covers slots of half a second.
const (
	slots       = 16
	slotSeconds = 0.5
)

// window is the highest level of the last 8 seconds.
type window struct {
	highest [slots]float64
	slot    int // newest, counted from the start
}

func (w *window) clear() {
	*w = window{}
	for i := range w.highest {
		w.highest[i] = math.Inf(-1)
	}
}

func (w *window) push(level, now float64) {
	slot := int(now / slotSeconds)
	for range min(slots, slot-w.slot) {
		w.slot++
		w.highest[w.slot%slots] = math.Inf(-1)
	}
	w.slot = max(w.slot, slot)
	i := slot % slots
	w.highest[i] = max(w.highest[i], level)
}

// shift moves all levels, as a change of gain does.
func (w *window) shift(dB float64) {
	for i := range w.highest {
		w.highest[i] += dB
	}
}

func (w *window) max() float64 {
	highest := math.Inf(-1)
	for _, v := range w.highest {
		highest = max(highest, v)
	}
	return highest
}

// event is a count and when it last rose.
type event struct {
	count int64
	last  float64
}

// push takes the newest count; a lower one was reset.
func (e *event) push(count int64, now float64) {
	if count > e.count {
		e.last = now
	}
	e.count = count
}
