"""Pictures, pages of plans and drawings that lie under the plan."""
