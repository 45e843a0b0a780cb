#compdef endsmeet
# Completion of endsmeet for zsh. The program is asked what could come next; it
# only reads.
_endsmeet() {
  local line value about
  local -a values shown open
  for line in "${(@f)$(endsmeet __complete zsh "${(@Q)words[2,CURRENT-1]}" "${words[CURRENT]%"$SUFFIX"}" 2>/dev/null)}"; do
    value=${line%%$'\t'*} about=${line#*$'\t'}
    if [[ -n $value ]]; then
      [[ $value == *= ]] && open+=("$value") && continue
      values+=("$value")
      shown+=("$value${about:+  $about}")
    elif [[ $about == files ]]; then
      _files
    elif [[ $about == folders ]]; then
      _files -/
    fi
  done
  (( $#open )) && compadd -S '' -a open
  (( $#values )) && compadd -l -d shown -a values
}
if [[ $funcstack[1] == _endsmeet ]]; then
  _endsmeet "$@"
else
  compdef _endsmeet endsmeet
fi
