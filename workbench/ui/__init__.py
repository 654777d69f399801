from workbench.ui.overrides import keep_errors_whole

keep_errors_whole()  # before the first class of the window is made
