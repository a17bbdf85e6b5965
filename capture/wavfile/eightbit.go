package wavfile

// tables give a sample of eight bits in steps of 2^−15.
var tables = map[Encoding]*[256]int16{PCM8: tableOf(unsigned), ALaw: tableOf(aLaw), MuLaw: tableOf(muLaw)}

func tableOf(step func(code byte) int16) *[256]int16 {
	var t [256]int16
	for code := range t {
		t[code] = step(byte(code))
	}
	return &t
}

// unsigned is 8-bit PCM, whose middle is 128.
func unsigned(code byte) int16 { return int16(code^0x80) << 8 }

// aLaw is the decoder output value of ITU-T G.711, table 1a, column 8, whose
// greatest is 4032, in steps of 2^−15: sixteen for two of the table's.
func aLaw(code byte) int16 {
	code ^= 0x55 // even bits are sent inverted
	segment, v := code>>4&7, int16(code&0x0F)<<4+8
	if segment > 0 {
		v = (v + 0x100) << (segment - 1)
	}
	if code&0x80 == 0 {
		return -v
	}
	return v
}

// muLaw is the decoder output value of ITU-T G.711, table 2a, column 8, whose
// greatest is 8031, times four.
func muLaw(code byte) int16 {
	code = ^code
	v := (int16(code&0x0F)<<3+0x84)<<(code>>4&7) - 0x84
	if code&0x80 != 0 {
		return -v
	}
	return v
}
