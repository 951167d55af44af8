package kinds

// Bounds that many kinds share. They are what can be true at all, never what is
// safe or usual: a limit of that sort belongs to a finding. Common practice, no
// source.
const (
	mostGallons = 100_000 // gal; the largest rail car holds about a third of it
	mostMeter   = 1e9     // gal; as far as a nine-figure counter can count
	mostFlow    = 10_000  // gpm
	mostOhms    = 1e9     // ohm; what a crew's meter calls open
	pureGas     = 1e6     // ppm; nothing but the gas
	coldest     = -80.0   // F; air and product
	hottest     = 500.0   // F; asphalt is hauled at some 350 F (from memory)
)
