package device

import (
	"testing"

	"github.com/jfreymuth/pulse/proto"
)

// Sound that a server sends before the stream is made, or started, goes
// nowhere.
func TestSoundBeforeItsTime(t *testing.T) {
	s := &wideSource{}
	s.take(&proto.DataPacket{Data: make([]byte, 64)})
	s.block = make([]float32, 4)
	s.take(&proto.DataPacket{Data: make([]byte, 64)})
}
