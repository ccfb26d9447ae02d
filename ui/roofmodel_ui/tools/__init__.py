"""What the mouse and keyboard do in the plan. Tools see millimetres, never widgets."""
