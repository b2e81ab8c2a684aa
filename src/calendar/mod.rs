//! Room to come.
