//! Where the piece lies in the stock and on the board.
