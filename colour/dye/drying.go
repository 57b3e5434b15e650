package dye

import "math"

const (
	// Warm is the temperature in °C down to which a drying time holds.
	Warm = 18.0
	// halves is by how many °C below Warm drying takes twice as long: as the pressure
	// of water's vapour halves (from memory of its tables).
	halves = 10.0
)

// DryingHours returns how long leather dries after a coat before its colour may be
// read, where it takes hours in a warm room. In a colder one it takes longer; nil is
// a temperature that nobody noted, taken for warm. Common practice, no source, as is
// that damp leather reads 6 to 10 L* darker.
func DryingHours(hours float64, celsius *float64) float64 {
	if celsius == nil || *celsius >= Warm {
		return hours
	}
	return hours * math.Exp2((Warm-*celsius)/halves)
}
