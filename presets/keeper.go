package presets

import (
	"sync"
	"sync/atomic"
	"time"
)

// keepDelay gathers the changes of a turned control into one write. It is
// well under the second that a crash may cost.
const keepDelay = 200 * time.Millisecond

// retryDelay is how soon a failed write is tried again.
const retryDelay = time.Second

// Keeper writes the newest settings to the disk shortly after each change, on
// a goroutine of its own.
type Keeper struct {
	store  *Store
	newest atomic.Pointer[Settings]
	err    atomic.Pointer[error]
	wake   chan struct{}
	stop   chan struct{}
	done   chan struct{}
	once   sync.Once
	saved  *Settings // by the goroutine
}

// Keep begins to keep settings, of which current are on the disk. start starts
// the goroutine, as rescue.Rescue does.
func (s *Store) Keep(current Settings, start func(f func())) *Keeper {
	k := &Keeper{store: s, saved: &current,
		wake: make(chan struct{}, 1), stop: make(chan struct{}), done: make(chan struct{})}
	k.newest.Store(&current)
	start(k.run)
	return k
}

// Set notes the newest settings. Any goroutine but the audio thread may call
// it; it never waits.
func (k *Keeper) Set(s Settings) {
	k.newest.Store(&s)
	select {
	case k.wake <- struct{}{}:
	default:
	}
}

// Err tells why the newest settings could not be written, nil if they are or
// will be soon.
func (k *Keeper) Err() error {
	if err := k.err.Load(); err != nil {
		return *err
	}
	return nil
}

// Close writes what is left and gives the error of that.
func (k *Keeper) Close() error {
	k.once.Do(func() { close(k.stop) })
	<-k.done
	return k.Err()
}

func (k *Keeper) run() {
	defer close(k.done)
	defer k.save()
	for {
		select {
		case <-k.stop:
			return
		case <-k.wake:
		}
		for delay := keepDelay; ; delay = retryDelay {
			select {
			case <-k.stop:
				return
			case <-time.After(delay):
			}
			if k.save() {
				break
			}
		}
	}
}

// save writes the newest settings unless they are on the disk.
func (k *Keeper) save() bool {
	newest := k.newest.Load()
	if *newest == *k.saved {
		k.err.Store(nil)
		return true
	}
	err := k.store.SaveSettings(*newest)
	if err != nil {
		k.err.Store(&err)
		return false
	}
	k.err.Store(nil)
	k.saved = newest
	return true
}
