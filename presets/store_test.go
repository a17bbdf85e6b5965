package presets

import (
	"path/filepath"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

// Two programs that start for the first time at the same moment find all there.
func TestFirstStartsAtTheSameTime(t *testing.T) {
	for range 20 {
		dir := filepath.Join(t.TempDir(), "config")
		var wait sync.WaitGroup
		for range 4 {
			wait.Go(func() {
				s, err := Open(dir)
				if err != nil {
					t.Error(err)
				}
				if _, err := s.Cameras.Load(DefaultSettings().CameraName); err != nil {
					t.Error(err)
				}
			})
		}
		wait.Wait()
		left, err := filepath.Glob(filepath.Join(dir, ".*"))
		require.NoError(t, err)
		require.Empty(t, left)
	}
}
