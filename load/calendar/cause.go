package calendar

// Cause is why a sterilizer is out of service. The zero value is invalid.
type Cause string

// The causes.
const (
	PositiveTest Cause = "positive test" // a biological test
	FailedTest   Cause = "failed test"   // an equipment test, such as one for leaks or air removal
	FailedCycle  Cause = "failed cycle"  // a cycle was aborted or failed, and nobody knows why
	Installed    Cause = "installed"     // installed, moved or rebuilt, and not tested yet
	Repaired     Cause = "repaired"      // repaired and not tested yet
	TakenOut     Cause = "taken out"     // by a person
)
