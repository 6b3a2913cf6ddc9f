package formula

// Bounds of one formula. With no loops, the number of nodes bounds the time.
const (
	MaxText    = 2000 // characters
	maxNodes   = 500
	maxDepth   = 60 // of brackets
	maxName    = 40 // characters of a name
	maxString  = 80 // characters of a material's or mold's name
	maxInputs  = 20
	maxLines   = 100
	maxThings  = 10  // materials and molds named
	maxUnsure  = 8   // uncertain values: each costs two more runs
	maxSlow    = 3   // calls that take milliseconds
	maxBatches = 10  // calls that work a batch out
	maxPower   = 6   // exponent of a quantity with a unit
	maxDim     = 12  // exponent of a dimension that may come up on the way
	maxSteps   = 60  // lines of working that are kept
	maxGiven   = 500 // characters of the values for the inputs
	maxLabel   = 120 // characters of an input's description
)
