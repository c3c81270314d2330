//! What holds the board: setups, tabs, pins, hold-downs, limits.
