"""What readings say by themselves, without a machine model."""
