package power

func read() Battery { return ReadFrom(Root) }
