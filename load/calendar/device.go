package calendar

// Device is a kind of machine beside the sterilizers. The zero value is a sterilizer.
type Device string

// The kinds of machine.
const (
	Sealer            Device = "sealer"
	WasherDisinfector Device = "washer-disinfector"
	UltrasonicBath    Device = "ultrasonic bath"
	Incubator         Device = "incubator"
	Sensor            Device = "sensor" // or a data logger
)

// Lapse is what a duty asks while it is overdue. The zero value is a finding alone.
type Lapse string

// What may be asked of packs.
const (
	LapseHolds  Lapse = "quarantine" // of packs made with the device since then
	LapseStands Lapse = "out of use" // and the device is not used
)

// IsUpkeep reports whether an event of the kind keeps a machine in order: a test of a device,
// the change of a part, an examination or a stage of qualification. It counts unless it is
// recorded as failed.
func IsUpkeep(k EventKind) bool { return k >= SealCheckEvent && k <= PerformanceQualificationEvent }

// DeviceOf returns the kind of machine that alone has events of a kind; "": there is none, or
// several have.
func DeviceOf(k EventKind) Device {
	switch k {
	case SealCheckEvent, PeelEvent:
		return Sealer
	case ActivityEvent, BathChangeEvent:
		return UltrasonicBath
	case InspectionEvent:
		return WasherDisinfector
	case TemperatureCheckEvent:
		return Incubator
	}
	return ""
}
