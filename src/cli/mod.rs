//! Arguments, exit status, rendering of findings.
