// Package capture is where frames come from and go to. Its subpackages are
// the sources (device, wavfile, demo), the sinks (device, wavfile, take) and
// session, the running whole. This package holds what they share.
package capture
