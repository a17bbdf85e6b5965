package presets

// What viewers over SSH may: look, put markers into a take, roll and stop takes
// as well.
const (
	ViewersLook = "look"
	ViewersMark = "mark"
	ViewersRoll = "roll"
)

// Viewers lists them, the first being the default.
var Viewers = [...]string{ViewersLook, ViewersMark, ViewersRoll}
