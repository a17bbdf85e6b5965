package soundserver

import (
	"bufio"
	"encoding/binary"
	"errors"
	"io"
	"net"
	"reflect"
	"runtime"
	"strconv"
	"sync"

	"github.com/jfreymuth/pulse/proto"
)

// The form of a message is that of PulseAudio's pstream.c and tagstruct.c.
const (
	headLength    = 20         // length, channel, offset (8), flags
	callLength    = 10         // operation and tag, each behind the letter of its type
	control       = 0xFFFFFFFF // the channel of all that is not sound
	longestString = 1023       // the library's limit (v0.1.1)
	longest       = 1 << 20    // of a message, in bytes
)

// guard stands before the library, which believes the server (v0.1.1): it
// allocates what a length says, panics on a type that it did not expect, and
// prints operations that it does not know. It lets through sound and whole,
// sound replies to what was asked last; what else a server tells is dropped,
// and one that breaks the protocol loses the connection.
type guard struct {
	net.Conn
	from    *bufio.Reader
	head    [headLength]byte
	message []byte
	checked []byte // what the library may read now
	sound   int    // then so many bytes of sound
	ended   chan struct{}
	why     error // set before ended is closed

	mu      sync.Mutex
	asked   uint32 // requests so far; the library counts their tags from 0
	open    bool   // the last of them has no reply yet
	reply   proto.Reply
	version int
}

func newGuard(conn net.Conn) *guard {
	return &guard{Conn: conn, from: bufio.NewReader(conn), ended: make(chan struct{})}
}

var (
	errEnded  = errors.New("the sound server ended the connection")
	errBroken = errors.New("the sound server broke PulseAudio's protocol; restart it")
)

// expect names the reply to the request that follows.
func (g *guard) expect(reply proto.Reply, version int) {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.asked, g.open, g.reply, g.version = g.asked+1, true, reply, version
}

// Read comes back with bytes or not at all: it ends the library's reading
// goroutine with the connection. Were that given an error in the middle of a
// list, it would fill the memory with empty entries; at any other place it
// calls back, and panics where nobody listens.
func (g *guard) Read(b []byte) (n int, err error) {
	for len(g.checked) == 0 && g.sound == 0 && err == nil {
		err = g.next()
	}
	switch {
	case err != nil:
	case len(g.checked) > 0:
		n = copy(b, g.checked)
		g.checked = g.checked[n:]
	default:
		n, err = g.from.Read(b[:min(len(b), g.sound)])
		g.sound -= n
	}
	if n == 0 && err != nil {
		if g.why = errEnded; errors.Is(err, errBroken) {
			g.why = err
		}
		_ = g.Conn.Close()
		close(g.ended)
		runtime.Goexit()
	}
	return n, nil
}

// next takes the head of a message, and the whole of it if it is no sound.
func (g *guard) next() error {
	if _, err := io.ReadFull(g.from, g.head[:]); err != nil {
		return err
	}
	length := int(binary.BigEndian.Uint32(g.head[:]))
	if length > longest {
		return errBroken
	}
	if binary.BigEndian.Uint32(g.head[4:]) != control {
		g.checked, g.sound = g.head[:], length
		return nil
	}
	g.message = append(g.message[:0], g.head[:]...)
	if whole := headLength + length; cap(g.message) < whole {
		g.message = append(make([]byte, 0, whole), g.message...)
	}
	g.message = g.message[:headLength+length]
	if _, err := io.ReadFull(g.from, g.message[headLength:]); err != nil {
		return err
	}
	wanted, sound := g.check(g.message[headLength:])
	if !sound {
		return errBroken
	}
	if wanted {
		g.checked = g.message
	}
	return nil
}

// check tells of a message whether it is the reply, or the error, that is
// waited for, and whether the library can read it.
func (g *guard) check(message []byte) (wanted, sound bool) {
	s := tags{rest: message}
	op, tag := s.number('L'), s.number('L')
	if s.broken {
		return false, false
	}
	g.mu.Lock()
	defer g.mu.Unlock()
	if op != proto.OpReply && op != proto.OpError || !g.open || tag != g.asked-1 {
		return false, true
	}
	g.open = false
	if op == proto.OpError {
		s.number('L')
	} else if g.reply == nil {
		s.rest = nil // the library passes over it
	} else if t := reflect.TypeOf(g.reply).Elem(); t.Kind() == reflect.Slice {
		for len(s.rest) > 0 && !s.broken {
			s.fields(t.Elem().Elem(), g.version)
		}
	} else {
		s.fields(t, g.version)
	}
	return true, !s.broken && len(s.rest) == 0
}

// tags reads over values that have the letter of their type before them, the
// way the library does.
type tags struct {
	rest   []byte
	broken bool
}

// take gives the next n bytes, or none.
func (s *tags) take(n int) []byte {
	if s.broken || n > len(s.rest) {
		s.rest, s.broken = nil, true
		return nil
	}
	taken := s.rest[:n]
	s.rest = s.rest[n:]
	return taken
}

func (s *tags) byte() byte {
	if b := s.take(1); b != nil {
		return b[0]
	}
	return 0
}

func (s *tags) uint32() uint32 {
	if b := s.take(4); b != nil {
		return binary.BigEndian.Uint32(b)
	}
	return 0
}

// want is broken unless it is so.
func (s *tags) want(so bool) {
	if !so {
		s.rest, s.broken = nil, true
	}
}

func (s *tags) number(letter byte) uint32 {
	s.want(s.byte() == letter)
	return s.uint32()
}

func (s *tags) text() {
	for n := 0; s.byte() != 0; n++ {
		s.want(n < longestString)
	}
}

func (s *tags) properties() {
	for !s.broken {
		switch s.byte() {
		case 'N':
			return
		case 't':
			s.text()
			n := s.number('L')
			s.want(s.number('x') == n)
			s.take(int(n))
		default:
			s.want(false)
		}
	}
}

// encoding is a format behind its letter.
func (s *tags) encoding() {
	s.want(s.byte() == 'B')
	s.take(1)
	s.want(s.byte() == 'P')
	s.properties()
}

// fields reads over what the library reads into a t. Fields that are not in
// every version of the protocol bear the first that has them, or "<" and the
// first that has them no more.
func (s *tags) fields(t reflect.Type, version int) {
	for i := 0; i < t.NumField() && !s.broken; i++ {
		if tag := string(t.Field(i).Tag); tag != "" {
			if first, err := strconv.Atoi(tag); err == nil && first > version {
				continue
			}
			if last, err := strconv.Atoi(tag[1:]); tag[0] == '<' && err == nil && last <= version {
				continue
			}
		}
		s.field(t.Field(i).Type, version)
	}
}

var (
	formatInfo = reflect.TypeFor[proto.FormatInfo]()
	sampleSpec = reflect.TypeFor[proto.SampleSpec]()
	timeOfDay  = reflect.TypeFor[proto.Time]()
	propList   = reflect.TypeFor[proto.PropList]()
)

func (s *tags) field(t reflect.Type, version int) {
	kind := t.Kind()
	if kind == reflect.Slice && t.Elem() == formatInfo {
		s.want(s.byte() == 'B')
		for n := s.byte(); n > 0 && !s.broken; n-- {
			s.want(s.byte() == 'f')
			s.encoding()
		}
		return
	}
	if kind == reflect.Slice && t.Elem().Kind() == reflect.Struct {
		n := s.number('L')
		s.want(int(n) <= len(s.rest))
		for ; n > 0 && !s.broken; n-- {
			s.fields(t.Elem(), version)
		}
		return
	}
	number := kind >= reflect.Uint && kind <= reflect.Uint64
	octets := kind == reflect.Slice && t.Elem().Kind() == reflect.Uint8
	switch letter := s.byte(); {
	case letter == 't' && kind == reflect.String:
		s.text()
	case letter == 'N' && kind == reflect.String:
	case letter == 'x' && (octets || kind == reflect.String):
		n := s.uint32()
		s.want(octets || n > 0)
		s.take(int(n))
	case (letter == 'L' || letter == 'V') && number:
		s.take(4)
	case letter == 'B' && number:
		s.take(1)
	case (letter == 'R' || letter == 'U') && number, letter == 'r' && kind == reflect.Int64, letter == 'T' && t == timeOfDay:
		s.take(8)
	case letter == 'a' && t == sampleSpec:
		s.take(6)
	case (letter == '1' || letter == '0') && kind == reflect.Bool:
	case letter == 'm' && octets:
		s.take(int(s.byte()))
	case letter == 'v' && kind == reflect.Slice && t.Elem().Kind() == reflect.Uint32:
		s.take(4 * int(s.byte()))
	case letter == 'P' && t == propList:
		s.properties()
	case letter == 'f' && t == formatInfo:
		s.encoding()
	default:
		s.want(false)
	}
}
