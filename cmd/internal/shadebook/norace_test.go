//go:build !race

package shadebook

const underRace = false
