package quantity

// Exact factors. The US gallon is 231 in³ and the inch 25.4 mm, both by
// definition (NIST Handbook 44, Appendix C), hence 3.785411784 L; the pound is
// 0.45359237 kg by definition; the psi follows from the pound-force at standard
// gravity 9.80665 m/s². The imperial gallon is 4.54609 L by definition (UK
// Units of Measurement Regulations 1995).
const (
	LitresPerGallon         = 3.785411784
	litresPerImperialGallon = 4.54609
	gallonsPerBarrel        = 42
	kilogramsPerPound       = 0.45359237
	kilopascalsPerPSI       = 6.894757293168361
	metresPerFoot           = 0.3048
	millimetresPerInch      = 25.4
	kilometresPerMile       = 1.609344
)

// Gallons is a US gallon of liquid as observed (gross), at the temperature it had.
type Gallons float64

// NetGallons is a US gallon of liquid reduced to 60 °F. It is another type than
// Gallons on purpose: the two cannot be added.
type NetGallons float64

// Pounds is avoirdupois weight in air.
type Pounds float64

// GallonsPerMinute is a flow of liquid.
type GallonsPerMinute float64

// Fahrenheit is a temperature.
type Fahrenheit float64

// APIGravity is the density scale of the petroleum trade, at 60 °F.
type APIGravity float64

// Ohms is an electrical resistance.
type Ohms float64

// PPM is parts per million by volume in air.
type PPM float64

// PercentLEL is a share of the lower explosive limit.
type PercentLEL float64

// Percent is a share in hundredths.
type Percent float64

// PSI is a gauge pressure.
type PSI float64

// Inches is a short length: a hole, a dip, a crack.
type Inches float64

// Feet is a long length: a zone, a boom, a hose.
type Feet float64

// SquareFeet is an area.
type SquareFeet float64

// CubicYards is a volume of soil or pavement.
type CubicYards float64

// MPH is a speed.
type MPH float64

// Degrees is an angle or a compass bearing.
type Degrees float64

// Minutes is a stretch of time.
type Minutes float64

// Seconds is a short stretch of time, such as how far a clock is off.
type Seconds float64

// PerMinute is a rate of counted things: pump strokes, pulse, breaths.
type PerMinute float64

// Count is a number of things.
type Count float64

// Ratio is a plain number without a unit, such as a correction factor.
type Ratio float64

// Dollars is money.
type Dollars float64

// Miles is a road distance.
type Miles float64

// ElectronVolts is the energy of a photoionisation lamp.
type ElectronVolts float64

func one(symbol string, aliases ...string) Unit { return Unit{symbol, aliases, 1, 0} }

var (
	volumeUnits = []Unit{
		one("gal", "gallon", "gallons", "US gal"),
		{"L", []string{"l", "litre", "litres", "liter", "liters"}, 1 / LitresPerGallon, 0},
		{"bbl", []string{"barrel", "barrels"}, gallonsPerBarrel, 0},
		{"imp gal", []string{"UK gal"}, litresPerImperialGallon / LitresPerGallon, 0},
		{"m3", []string{"m³"}, 1000 / LitresPerGallon, 0},
		{"cup", []string{"cups"}, 1.0 / 16, 0},
		{"pt", []string{"pint", "pints"}, 1.0 / 8, 0},
		{"qt", []string{"quart", "quarts"}, 1.0 / 4, 0},
	}
	grossScale = &Scale{"volume", volumeUnits}
	netScale   = &Scale{"net volume at 60 °F", volumeUnits}
	massScale  = &Scale{"weight", []Unit{one("lb", "lbs", "pound", "pounds"), {"kg", nil, 1 / kilogramsPerPound, 0},
		{"ton", []string{"tons", "short ton"}, 2000, 0}, {"t", []string{"tonne", "tonnes"}, 1000 / kilogramsPerPound, 0}}}
	flowScale = &Scale{"flow", []Unit{one("gpm", "gal/min", "gal per min"),
		{"L/min", []string{"lpm", "l/min"}, 1 / LitresPerGallon, 0}, {"gal/h", []string{"gph"}, 1.0 / 60, 0}}}
	heatScale = &Scale{"temperature", []Unit{one("F", "°F", "deg F"), {"C", []string{"°C", "deg C"}, 1.8, 32}}}
	apiScale  = &Scale{"API gravity", []Unit{one("API", "°API")}}
	ohmScale  = &Scale{"resistance", []Unit{one("ohm", "ohms", "Ω"), {"kohm", []string{"kΩ"}, 1e3, 0}, {"Mohm", []string{"MΩ", "megohm", "megohms"}, 1e6, 0},
		{"mohm", []string{"mΩ", "milliohm", "milliohms"}, 1e-3, 0}}}
	ppmScale      = &Scale{"concentration", []Unit{one("ppm"), {"ppb", nil, 1e-3, 0}, {"% vol", []string{"%vol", "% by volume"}, 1e4, 0}}}
	lelScale      = &Scale{"share of LEL", []Unit{one("%", "% LEL", "percent", "%LEL")}}
	percentScale  = &Scale{"share", []Unit{one("%", "percent", "per cent")}}
	pressureScale = &Scale{"pressure", []Unit{one("psi"), {"bar", nil, 100 / kilopascalsPerPSI, 0}, {"kPa", nil, 1 / kilopascalsPerPSI, 0}}}
	inchScale     = &Scale{"length", []Unit{one("in", "inch", "inches"), {"mm", nil, 1 / millimetresPerInch, 0},
		{"cm", nil, 10 / millimetresPerInch, 0}, {"ft", []string{"foot", "feet"}, 12, 0}}}
	footScale = &Scale{"distance", []Unit{one("ft", "foot", "feet"), {"m", []string{"metre", "metres", "meter", "meters"}, 1 / metresPerFoot, 0},
		{"in", []string{"inch", "inches"}, 1.0 / 12, 0}, {"yd", []string{"yard", "yards"}, 3, 0}, {"mi", []string{"mile", "miles"}, 5280, 0}}}
	areaScale = &Scale{"area", []Unit{one("ft2", "ft²", "sq ft"), {"m2", []string{"m²", "sq m"}, 1 / (metresPerFoot * metresPerFoot), 0},
		{"acre", []string{"acres"}, 43560, 0}}}
	soilScale  = &Scale{"bulk volume", []Unit{one("yd3", "yd³", "cu yd"), {"m3", []string{"m³"}, 1 / (0.9144 * 0.9144 * 0.9144), 0}}}
	speedScale = &Scale{"speed", []Unit{one("mph"), {"km/h", []string{"kph"}, 1 / kilometresPerMile, 0},
		{"m/s", nil, 3.6 / kilometresPerMile, 0}, {"kt", []string{"knots", "kn"}, 1.852 / kilometresPerMile, 0}}}
	angleScale   = &Scale{"angle", []Unit{one("deg", "°", "degrees")}}
	minuteScale  = &Scale{"time", []Unit{one("min", "minute", "minutes"), {"h", []string{"hour", "hours", "hr"}, 60, 0}, {"s", []string{"sec", "second", "seconds"}, 1.0 / 60, 0}}}
	secondScale  = &Scale{"time", []Unit{one("s", "sec", "second", "seconds"), {"min", []string{"minute", "minutes"}, 60, 0}, {"h", []string{"hour", "hours"}, 3600, 0}}}
	rateScale    = &Scale{"rate", []Unit{one("per min", "/min", "bpm", "a minute")}}
	countScale   = &Scale{"count", []Unit{one("")}}
	ratioScale   = &Scale{"ratio", []Unit{one("")}}
	moneyScale   = &Scale{"money", []Unit{one("USD", "$", "dollars")}}
	mileScale    = &Scale{"road distance", []Unit{one("mi", "mile", "miles"), {"km", nil, 1 / kilometresPerMile, 0}}}
	electronVolt = &Scale{"lamp energy", []Unit{one("eV")}}
)

// Scale returns the scale of gross volume.
func (Gallons) Scale() *Scale { return grossScale }

// Scale returns the scale of net volume.
func (NetGallons) Scale() *Scale { return netScale }

// Scale returns the scale of weight.
func (Pounds) Scale() *Scale { return massScale }

// Scale returns the scale of flow.
func (GallonsPerMinute) Scale() *Scale { return flowScale }

// Scale returns the scale of temperature.
func (Fahrenheit) Scale() *Scale { return heatScale }

// Scale returns the scale of API gravity.
func (APIGravity) Scale() *Scale { return apiScale }

// Scale returns the scale of resistance.
func (Ohms) Scale() *Scale { return ohmScale }

// Scale returns the scale of concentration in air.
func (PPM) Scale() *Scale { return ppmScale }

// Scale returns the scale of explosive limit readings.
func (PercentLEL) Scale() *Scale { return lelScale }

// Scale returns the scale of shares.
func (Percent) Scale() *Scale { return percentScale }

// Scale returns the scale of pressure.
func (PSI) Scale() *Scale { return pressureScale }

// Scale returns the scale of short lengths.
func (Inches) Scale() *Scale { return inchScale }

// Scale returns the scale of distances.
func (Feet) Scale() *Scale { return footScale }

// Scale returns the scale of areas.
func (SquareFeet) Scale() *Scale { return areaScale }

// Scale returns the scale of soil volume.
func (CubicYards) Scale() *Scale { return soilScale }

// Scale returns the scale of speed.
func (MPH) Scale() *Scale { return speedScale }

// Scale returns the scale of angles.
func (Degrees) Scale() *Scale { return angleScale }

// Scale returns the scale of minutes.
func (Minutes) Scale() *Scale { return minuteScale }

// Scale returns the scale of seconds.
func (Seconds) Scale() *Scale { return secondScale }

// Scale returns the scale of counted rates.
func (PerMinute) Scale() *Scale { return rateScale }

// Scale returns the scale of counts, which have no unit.
func (Count) Scale() *Scale { return countScale }

// Scale returns the scale of plain numbers, which have no unit.
func (Ratio) Scale() *Scale { return ratioScale }

// Scale returns the scale of money.
func (Dollars) Scale() *Scale { return moneyScale }

// Scale returns the scale of road distances.
func (Miles) Scale() *Scale { return mileScale }

// Scale returns the scale of lamp energies.
func (ElectronVolts) Scale() *Scale { return electronVolt }
