package format

import (
	"fmt"
	"strconv"
	"time"
)

// Ago says how long something is past.
func Ago(t time.Duration) string {
	switch {
	case t < time.Minute:
		return "just now"
	case t < time.Hour:
		return strconv.Itoa(int(t.Minutes())) + " min ago"
	case t < 48*time.Hour:
		return strconv.Itoa(int(t.Hours())) + " h ago"
	}
	return strconv.Itoa(int(t.Hours()/24)) + " days ago"
}

// Clock writes a time as 0:41 or 1:02:03.
func Clock(t time.Duration) string {
	s := int(t.Seconds())
	if s < 3600 {
		return fmt.Sprintf("%d:%02d", s/60, s%60)
	}
	return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
}

// Duration is the time that frames take; 0 where the rate is unknown.
func Duration(frames int64, rateHz int) time.Duration {
	if rateHz <= 0 {
		return 0
	}
	return time.Duration(float64(frames) / float64(rateHz) * float64(time.Second))
}
