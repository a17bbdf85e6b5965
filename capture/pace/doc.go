// Package pace hands out frames that are stored or computed as if a device
// delivered them: in the rhythm of their own sample rate, or as fast as the
// receiver takes them.
package pace
