//go:build windows && !cgo

package mixer

import "errors"

// connect: without a C compiler there is no sound either.
func connect() (teller, error) {
	return nil, errors.New("this program was built without sound (cgo was off): build it with a C compiler")
}
