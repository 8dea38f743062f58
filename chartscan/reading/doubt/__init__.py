"""What the reader asks: few questions, the dearest first, each from odds and with its answers."""
