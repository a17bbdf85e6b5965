// Package power tells how full the laptop's battery is.
package power

// State is what the system says of its power. A plain value.
type State struct {
	Known   bool // false: no battery, or the system does not say
	Percent int  // 0 … 100
	Mains   bool // plugged in
}
