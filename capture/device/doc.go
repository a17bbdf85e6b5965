// Package device is the way to the sound hardware: it lists inputs and
// outputs, opens them, and lets go of them even where the sound system hangs.
package device
