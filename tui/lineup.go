package tui

func newLineup(d *Desk) Screen { return &check{desk: d} }

type Line interface{}
