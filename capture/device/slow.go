package device

import (
	"context"
	"errors"
	"net"
	"slices"
	"strings"
	"time"

	"github.com/jfreymuth/pulse/proto"

	"rollready/capture/internal/soundserver"
)

// patience is how long a server that is too busy to list its devices is asked
// again.
const patience = 3 * time.Second

// errSlow is what a machine without such a device is not taken for.
var errSlow = errors.New("the sound server is too busy to list its devices: end other programs, and try again")

// insist looks until a device is found, or none is there, or patience ends.
// served tells whether the sound server knows of one, whatever was listed.
func insist(none error, look func(again bool) error, served func() bool) error {
	began := time.Now()
	for again := false; ; again = true {
		err := look(again)
		switch {
		case !errors.Is(err, none) || !served():
			return err
		case time.Since(began) >= patience:
			return errSlow
		}
		time.Sleep(patience / 12)
	}
}

// served asks the sound server itself, where there is one, for a device.
func served(d direction) bool {
	c, err := soundserver.Connect(nil)
	if err != nil {
		return late(err)
	}
	defer c.Close()
	if d == output {
		var sinks proto.GetSinkInfoListReply
		err = c.Request(&proto.GetSinkInfoList{}, &sinks)
		return len(sinks) > 0 || late(err)
	}
	var sources proto.GetSourceInfoListReply
	err = c.Request(&proto.GetSourceInfoList{}, &sources)
	return late(err) || slices.ContainsFunc(sources, func(s *proto.GetSourceInfoReply) bool { return !strings.HasSuffix(s.SourceName, ".monitor") })
}

// late tells that there is a server, and that it did not answer in time.
func late(err error) bool {
	var n net.Error
	return errors.Is(err, context.DeadlineExceeded) || errors.As(err, &n) && n.Timeout()
}
