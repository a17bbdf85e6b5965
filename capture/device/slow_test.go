package device

import (
	"errors"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
)

// A server that lists its devices late is waited for, one that never does is
// said to be busy, and only a machine without a microphone has none.
func TestASlowServerIsNoMissingMicrophone(t *testing.T) {
	other := errors.New("two of that name")
	for name, c := range map[string]struct {
		looks  []error // the last one for ever
		served bool
		want   error
		after  time.Duration
	}{
		"there at once":    {[]error{nil}, true, nil, 0},
		"listed late":      {[]error{capture.ErrNoInput, capture.ErrNoInput, nil}, true, nil, patience / 6},
		"never listed":     {[]error{capture.ErrNoInput}, true, errSlow, patience},
		"none there":       {[]error{capture.ErrNoInput}, false, capture.ErrNoInput, 0},
		"another mistake":  {[]error{other}, true, other, 0},
		"late and unclear": {[]error{capture.ErrNoInput, other}, true, other, patience / 12},
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				began, n := time.Now(), 0
				err := insist(capture.ErrNoInput, func(again bool) error {
					require.Equal(t, n > 0, again)
					n++
					return c.looks[min(n, len(c.looks))-1]
				}, func() bool { return c.served })
				require.Equal(t, c.want, err)
				require.Equal(t, c.after, time.Since(began))
			})
		})
	}
}

// One piece of advice, and the right one.
func TestWhatCannotBeOpenedIsExplained(t *testing.T) {
	mic := Info{Name: "Field Mic"}
	require.EqualError(t, notOpened(input, mic, errors.New("device busy")), `open input "Field Mic": device busy: connect it, or end the program that uses it`)
	require.EqualError(t, notOpened(output, mic, ErrHung), `open output "Field Mic": the sound system does not answer: restart it, or log out and in again`)
}
