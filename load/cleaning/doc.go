// Package cleaning judges one run of cleaning before packing: by hand, in an ultrasonic bath or
// in a washer-disinfector.
//
// A [Batch] is what was done and what it carried. [Check] computes what can be computed and
// holds it against the instructions for use and the [Limits] of the facility: minutes from use
// to cleaning, the dose of a detergent from amount and volume, and A0 from the temperature log.
// What a machine prints is compared with what its log shows. What is not recorded is
// undetermined and never a pass. What a machine prints is evidence by itself where the limits take it
// and the machine logs nothing. [Batches] holds an item against the batch that it names; package
// load does so for the batches of a record and of a history.
package cleaning
