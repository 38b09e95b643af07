"""What a request file of `steadyrest stock` asks for, as checked values. One module a request: carry, keep."""
