# Completion of endsmeet for bash. The program is asked what could come next;
# it only reads.
_endsmeet() {
  local line IFS=$'\n'
  COMPREPLY=()
  for line in $(endsmeet __complete bash "${COMP_LINE:0:COMP_POINT}" 2>/dev/null); do
    case $line in
    $'\t'files) compopt -o default ;;
    $'\t'folders) compopt -o dirnames ;;
    *) COMPREPLY+=("${line%%$'\t'*}") ;;
    esac
  done
  if [[ ${#COMPREPLY[@]} -eq 1 && ${COMPREPLY[0]} == *= ]]; then compopt -o nospace; fi
}
complete -F _endsmeet endsmeet
